package web

// Wire makes a handler as New does, and the frame of its pages beside it, so that tests know every route there is.
var Wire = wire
