package problem

import (
	"fmt"
	"net/http"
	"slices"

	"slatewright/trouble"
)

// kinds gives the status of a trouble whose code has no line of its own: what was sent cannot be read as it must be.
var kinds = map[trouble.Kind]int{
	trouble.KindUsage: http.StatusBadRequest,
	trouble.KindData:  http.StatusUnprocessableEntity,
	trouble.KindOwn:   http.StatusInternalServerError,
	trouble.KindIO:    http.StatusServiceUnavailable,
}

// byStatus lists the codes that need another status than their kind has.
var byStatus = map[int][]string{
	http.StatusBadRequest:            {"bad-cursor", "bad-json", "bad-request", "brackets-too-deep"},
	http.StatusUnauthorized:          {"not-signed-in"},
	http.StatusForbidden:             {"cross-origin", "not-allowed", "not-protected", "passphrase-needed", "wrong-passphrase", "wrong-pin"},
	http.StatusNotFound:              {"no-such-blob", "no-such-entry", "no-such-job", "no-such-path", "no-such-thing", "no-such-token"},
	http.StatusMethodNotAllowed:      {"no-such-method"},
	http.StatusNotAcceptable:         {"not-acceptable"},
	http.StatusRequestTimeout:        {"too-slow"},
	http.StatusConflict:              append([]string{"name-taken", "token-exists"}, conflicts...),
	http.StatusRequestEntityTooLarge: {"too-large"},
	http.StatusRequestURITooLong:     {"address-too-long"},
	http.StatusUnsupportedMediaType:  {"bad-media-type"},
	http.StatusTooManyRequests:       {"too-many"},
	http.StatusInternalServerError:   {"broken-blob", "broken-book", "broken-chain", "broken-credentials", "broken-entry", "broken-thing", "own-fault"},
	http.StatusServiceUnavailable:    {"busy", "read-only"},
	http.StatusInsufficientStorage:   {"disk-full"},
}

// conflicts are the codes of what is well formed and cannot be done as the book stands.
var conflicts = []string{
	"already-there", "backdated", "breaks-later", "calibration-bad", "calibration-expired", "check-bad", "deeper-than-stone", "does-not-fit", "in-room",
	"in-set", "last-lead", "layup-expired", "lined", "mark-needed", "mass-not-plausible", "missing-code", "no-lining",
	"nobody-can-follow", "not-calibrated", "not-certified", "not-conforming", "not-corrected", "not-cured", "not-in-room", "not-judged",
	"not-laid-up", "not-lined", "not-lost", "not-marked", "not-packed", "not-seasoned", "not-settled", "not-surfaced", "other-answers",
	"other-layout", "other-person", "other-pieces", "other-site", "other-support", "parted", "past-use", "reading-expired",
	"reading-missing", "reading-unseen", "reading-wet", "reading-without-file", "rejected", "same-id-other-entry", "second-person",
	"struck", "support-unsaid", "too-thin", "used-up", "verdict-stale", "wrong-code", "wrong-instrument", "wrong-station",
}

// unfit are the codes of an act with a field that is not as it must be, or that says something else than a file it names.
var unfit = []string{
	"act-left-out", "bad-body", "bad-certificate", "bad-correction", "bad-count", "bad-digest", "bad-facts", "bad-field", "bad-id", "bad-ref", "bad-seal",
	"bad-text", "demo-key", "empty-reading", "mill-key", "missing", "no-amount", "no-judgement", "no-reading", "not-one-of", "not-recomputed",
	"other-readings", "out-of-range", "role-too-low", "too-deep", "too-few-points", "too-long", "twice", "two-digests", "two-faces", "two-keys", "two-pieces",
	"two-sets", "two-steps", "two-supports", "two-temperatures", "two-verdicts", "unknown-field",
}

// storeAway are the codes with which the store of the book does not answer, and storeShut those with which it takes nothing.
var (
	storeAway = []string{"book-busy", "book-closed", "book-refused", "book-unreachable", "broken-book", "disk-error"}
	storeShut = []string{"broken-chain", "disk-full", "outcome-unknown", "read-only"}
	filesAway = []string{"broken-blob", "no-such-blob", "store-away", "store-refuses"}
)

// statuses is byStatus the other way round.
var statuses = func() map[string]int {
	m := map[string]int{}
	for status, codes := range byStatus {
		for _, code := range codes {
			m[code] = status
		}
	}
	return m
}()

// OfActs returns the codes with which an act is refused once it has the form of one: by the book, by what holds it against the files that
// it names, and by what of the book does not verify.
func OfActs() []string {
	return slices.Concat(conflicts, unfit, filesAway, []string{"broken-entry", "broken-thing", "clock-ahead", "no-such-entry", "no-such-thing", "not-allowed",
		"passphrase-needed", "too-large"})
}

// OfStore returns the codes with which the store of the book fails: whatever is asked of it, and what is to be written.
func OfStore(writes bool) []string {
	if writes {
		return slices.Concat(storeAway, storeShut)
	}
	return slices.Clone(storeAway)
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
