// Package browser holds the tests of the pages in a real browser: the program as it is built serves the invented mill, and
// Chromium opens its pages as a person would. There is nothing in it but tests.
package browser
