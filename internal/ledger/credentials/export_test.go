package credentials

// Parse is for the fuzzer, which needs no database.
var Parse = parse
