package live

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/web/api"
	"slatewright/internal/web/shell"
)

const (
	breath      = 15 * time.Second // between two signs of life
	sessionLook = time.Minute      // between two looks whether the session has ended
	writeTime   = 20 * time.Second // for one event on a weak radio link
)

// Add puts the stream on a mux. Streams end with the session, and when the program stops.
func Add(s *shell.Shell, mux *http.ServeMux, h *Hub) {
	s.Add(mux, []shell.Route{{Method: http.MethodGet, Path: "/live", Least: book.Visitor, Do: h.stream, Data: true}})
}

// stream tells one page what changes, until it goes or its session ends.
func (h *Hub) stream(v *shell.Visit) error {
	ear, done := h.listen()
	defer done()
	out := http.NewResponseController(v.W)
	_ = out.SetReadDeadline(time.Time{}) // nothing more is read from it; not every connection can
	v.W.Header().Set("Content-Type", "text/event-stream")
	v.W.Header().Set("X-Accel-Buffering", "no")
	send := func(text string) bool {
		_ = out.SetWriteDeadline(time.Now().Add(writeTime)) // not every connection can; the server's own limit holds
		_, err := v.W.Write([]byte(text))
		return err == nil && out.Flush() == nil
	}
	if !send(h.greeting(v.R)) {
		return nil
	}
	closing := api.Closing(v.R.Context())
	pulse, look := time.NewTicker(breath), time.NewTicker(sessionLook)
	defer pulse.Stop()
	defer look.Stop()
	for {
		var text string
		select {
		case <-v.R.Context().Done():
			return nil
		case <-closing:
			return nil
		case e := <-ear:
			text = e.text()
		case <-pulse.C:
			text = ":\n\n"
		case <-look.C:
			if _, err := v.Gate.Peek(v.R.Context(), v.Sender.Token); err != nil {
				return nil
			}
			continue
		}
		if !send(text) {
			return nil
		}
	}
}

// greeting tells a page that comes back what it missed: where it stopped is in the question, or in the header of one that
// reconnects. What happened meanwhile is not told thing by thing.
func (h *Hub) greeting(q *http.Request) string {
	said := q.Header.Get("Last-Event-ID")
	if said == "" {
		said = q.URL.Query().Get("after")
	}
	if seen, err := strconv.ParseInt(said, 10, 64); err == nil && seen != h.Head() {
		return Event{Seq: h.Head()}.text()
	}
	return ":\n\n"
}

// text is an event as it is sent.
func (e Event) text() string {
	name, data := "all", map[string]any{"seq": e.Seq}
	if e.Things != nil {
		name, data["things"] = "changed", e.Things
	}
	line, err := json.Marshal(data)
	if err != nil {
		panic(err) // our own numbers and names
	}
	return fmt.Sprintf("id: %d\nevent: %s\ndata: %s\n\n", e.Seq, name, line)
}
