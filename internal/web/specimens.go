package web

import (
	"context"
	"embed"
	"log/slog"
	"net/http"
	"net/url"
	"strings"
	"sync"

	"slatewright/internal/book"
	"slatewright/internal/web/problem"
	"slatewright/internal/web/shell"
	"slatewright/internal/web/specimen"
)

//go:embed specimens.html
var specimensPage embed.FS

// addSpecimens puts the pages of the invented mill on a mux once more for each state that a page must bear, and a page that leads
// to them all. Links of a specimen lead to specimens, and its forms to a refusal. What a state needs is read when it is first looked at.
func addSpecimens(ctx context.Context, mux *http.ServeMux, c Config, files *known, s *shell.Shell) error {
	for _, state := range specimen.States() {
		at := "/specimen/" + string(state)
		open := sync.OnceValues(func() (http.Handler, error) { return specimensIn(ctx, state, at, c, files) })
		mux.HandleFunc("GET "+at+"/", func(w http.ResponseWriter, r *http.Request) {
			pages, err := open()
			if err != nil {
				c.Log.Error("specimens cannot be shown", "state", state, "cause", err)
				problem.Of(err).Write(w)
				return
			}
			pages.ServeHTTP(w, r)
		})
		mux.HandleFunc("POST "+at+"/", s.Refuse)
	}
	if err := s.Pages("web", specimensPage, "."); err != nil {
		return err
	}
	s.Add(mux, []shell.Route{{Method: http.MethodGet, Path: "/specimen", Least: book.Visitor, Do: showSpecimens}})
	return nil
}

// specimensIn makes the pages of a state.
func specimensIn(ctx context.Context, state specimen.State, at string, c Config, files *known) (http.Handler, error) {
	c.Ledger = specimen.Of(state, c.Ledger)
	c.specimen, c.Trust = state, trustIn(state)
	if state == specimen.Long {
		c.Mill = specimen.LongMill
	}
	c.Log = slog.New(slog.DiscardHandler) // what a specimen shows as a fault is none
	under := http.NewServeMux()
	pages, err := addPages(ctx, under, c, files)
	if err != nil {
		return nil, err
	}
	under.HandleFunc("/", pages.NotFound)
	return keepWithin(at, http.StripPrefix(at, under)), nil
}

// trustIn is a way of being reached for each state, so that the page about it is seen in all of them; root and address are invented.
func trustIn(state specimen.State) Trust {
	switch state {
	case specimen.Full, specimen.Long:
		const invented = "00:11:22:33 44:55:66:77 88:99:AA:BB CC:DD:EE:FF 00:11:22:33 44:55:66:77 88:99:AA:BB CC:DD:EE:FF"
		return Trust{How: SelfMade, Root: func() ([]byte, string) { return nil, invented }, Address: &url.URL{Scheme: "https", Host: "mill.example:8273"}}
	case specimen.One:
		return Trust{How: Given, Address: &url.URL{Scheme: "https", Host: "mill.example"}}
	}
	return Trust{}
}

// specimens lists the pages that there are specimens of.
type specimens struct {
	States []specimen.State
	Paths  []sample
}

// sample is an address and the states in which its page is looked at.
type sample struct {
	Path string
	In   map[specimen.State]bool
}

// statesOf are all, but for a page that does not look into the book: what it shows is the same in every state, and only the frame about it
// has longer names.
func statesOf(r shell.Route) map[specimen.State]bool {
	in := map[specimen.State]bool{}
	for _, s := range specimen.States() {
		in[s] = !r.Alone || s == specimen.Full || s == specimen.Long
	}
	return in
}

func showSpecimens(v *shell.Visit) error {
	paths, err := samples(v.R.Context(), v.Ledger, v.Routes())
	if err != nil {
		return err
	}
	return v.Show(shell.Page{Name: "web/specimens", Title: v.Say("floor.specimens"), Data: specimens{specimen.States(), paths}})
}

// samples names one address for each page that is looked at, with things that the book has: the first of their kind.
func samples(ctx context.Context, l book.Ledger, routes []shell.Route) (list []sample, err error) {
	for _, r := range routes {
		if r.Method != http.MethodGet || r.Data || r.Path == "/scan" || strings.HasPrefix(r.Path, "/specimen") {
			continue
		}
		path := strings.TrimSuffix(r.Path, "{$}")
		for from := strings.Index(path, "{"); from >= 0; from = strings.Index(path, "{") {
			to := from + strings.Index(path[from:], "}")
			value, err := sampleOf(ctx, l, path[:from], strings.TrimSuffix(path[from+1:to], "..."))
			if err != nil {
				return nil, err
			}
			path = path[:from] + value + path[to+1:]
		}
		list = append(list, sample{path, statesOf(r)})
	}
	return list, nil
}

// sampleOf is a value for a part of an address: a word, or the number of the first thing of the kind that stands before it.
func sampleOf(ctx context.Context, l book.Ledger, before, name string) (string, error) {
	switch name {
	case "station":
		return "surfacing", nil
	case "act":
		return "weigh", nil
	case "kind":
		return "slab", nil
	}
	parts := strings.Split(strings.Trim(before, "/"), "/")
	kind := book.Kind(parts[len(parts)-1])
	if kind == "bench" {
		kind = book.KindPiece
	}
	page, err := l.Things(ctx, book.Filter{Kind: kind}, "", 1)
	if err != nil || len(page.Items) == 0 {
		return "none", err
	}
	return page.Items[0].ID, nil
}
