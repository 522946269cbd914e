// Package stone is the pages of the stone itself: a piece with its faces, its shape over time and everything that was done to it, a
// set as the bed that its three pieces make, both as relief, and where something came from and where it went. It also gives the
// scripts of these pages the maps and profiles they draw.
//
// It measures, seats and judges nothing: package measured does, and the pages say when it has not finished. What comes next is asked
// of package waiting. Nothing is written here; its buttons lead to the forms of other rooms.
package stone

import (
	"embed"
	"encoding/json"
	"net/http"
	"strings"
	"time"

	"slatewright/internal/book"
	"slatewright/internal/measured"
	"slatewright/internal/waiting"
	"slatewright/internal/web/shell"
)

//go:embed all:pages
var pages embed.FS

// Queue tells what waits and what comes next as the house stands now.
type Queue interface {
	Ask(now time.Time) []waiting.Question
	NextFor(now time.Time, things ...book.Ref) []waiting.Sentence
}

// room is what the pages of this room share.
type room struct {
	measured *measured.Room
	queue    Queue
}

// Add puts the room's pages on a mux.
func Add(s *shell.Shell, mux *http.ServeMux, m *measured.Room, queue Queue) error {
	if err := s.Pages("stone", pages, "pages"); err != nil {
		return err
	}
	r := room{m, queue}
	var routes []shell.Route
	for _, at := range []struct {
		path string
		do   func(*shell.Visit) error
	}{
		{"/piece/{number}", r.piece}, {"/piece/{number}/relief", r.pieceRelief}, {"/piece/{number}/map", r.pieceMap}, {"/piece/{number}/map.svg", r.piecePicture},
		{"/piece/{number}/profile", r.pieceProfile}, {"/set/{number}", r.set}, {"/set/{number}/relief", r.setRelief}, {"/set/{number}/frame", r.frame}, {"/set/{number}/frame.svg", r.framePicture}, {"/set/{number}/map", r.setMap},
		{"/set/{number}/map.svg", r.setPicture}, {"/trace/{kind}/{number}", trace}, {"/affected/{kind}/{number}", affected},
	} {
		routes = append(routes, shell.Route{Method: http.MethodGet, Path: at.path, Least: book.Visitor, Do: at.do, Data: strings.HasSuffix(at.path, "/map") || strings.HasSuffix(at.path, ".svg") || strings.HasSuffix(at.path, "/profile")})
	}
	s.Add(mux, routes)
	return nil
}

// answer sends data to a script.
func answer(v *shell.Visit, data any) error {
	text, err := json.Marshal(data)
	if err != nil {
		return err
	}
	v.W.Header().Set("Content-Type", "application/json")
	_, _ = v.W.Write(text) // a browser that has gone cannot be told so
	return nil
}

// picture sends a drawing.
func picture(v *shell.Visit, svg []byte) error {
	v.W.Header().Set("Content-Type", "image/svg+xml")
	_, _ = v.W.Write(svg)
	return nil
}
