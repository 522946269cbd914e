package problem

import (
	"fmt"
	"net/http"

	"slatewright/trouble"
)

// kinds gives the status of a trouble whose code has no line of its own: what was sent cannot be done as the book stands.
var kinds = map[trouble.Kind]int{
	trouble.KindUsage: http.StatusBadRequest,
	trouble.KindData:  http.StatusUnprocessableEntity,
	trouble.KindOwn:   http.StatusInternalServerError,
	trouble.KindIO:    http.StatusServiceUnavailable,
}

// statuses gives the status of the codes that need another one than their kind has.
var statuses = map[string]int{
	"bad-request":       http.StatusBadRequest,
	"bad-json":          http.StatusBadRequest,
	"bad-cursor":        http.StatusBadRequest,
	"brackets-too-deep": http.StatusBadRequest,
	"not-signed-in":     http.StatusUnauthorized,
	"not-allowed":       http.StatusForbidden,
	"cross-origin":      http.StatusForbidden,
	"no-such-path":      http.StatusNotFound,
	"no-such-thing":     http.StatusNotFound,
	"no-such-entry":     http.StatusNotFound,
	"no-such-blob":      http.StatusNotFound,
	"no-such-job":       http.StatusNotFound,
	"no-such-token":     http.StatusNotFound,
	"no-such-method":    http.StatusMethodNotAllowed,
	"not-acceptable":    http.StatusNotAcceptable,
	"too-slow":          http.StatusRequestTimeout,
	"too-large":         http.StatusRequestEntityTooLarge,
	"address-too-long":  http.StatusRequestURITooLong,
	"bad-media-type":    http.StatusUnsupportedMediaType,
	"not-valid":         http.StatusUnprocessableEntity,
	"too-many":          http.StatusTooManyRequests,
	"own-fault":         http.StatusInternalServerError,
	"busy":              http.StatusServiceUnavailable,
}

// StatusOf returns the HTTP status of a code. One without a line of its own is trouble with what was sent.
func StatusOf(code string) int {
	if status, ok := statuses[code]; ok {
		return status
	}
	return kinds[trouble.KindData]
}

// TooLarge is the problem of a body over its limit.
func TooLarge(limit int64) *Problem {
	return New("too-large", "body", fmt.Sprintf("the body is larger than %d bytes", limit), "send less at a time; a scan goes to /api/v1/blobs")
}
