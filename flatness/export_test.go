package flatness

// Narrowest is the straightness of a profile, for the tests outside the package.
var Narrowest = narrowest
