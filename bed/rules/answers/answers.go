// Package answers is what the command line and pages answer with alike about a bed's pattern: what is wrong with it, and what
// changed between two revisions.
//
// It asks bed/rules and bed/pattern/revision and puts what they say into the forms that programs read; it does not read files, print or draw.
package answers

import (
	"slatewright/bed/pattern"
	"slatewright/bed/rules"
)

// Check is the answer to whether a pattern keeps the rules.
type Check struct {
	File     string          `json:"file"`
	Pattern  string          `json:"pattern"`
	Revision string          `json:"revision"`
	Approved string          `json:"approved,omitempty"` // by whom and when
	Claims   string          `json:"claims,omitempty"`
	Pieces   int             `json:"pieces"`
	Pockets  int             `json:"pockets"`
	Holes    int             `json:"holes"`
	Dowels   int             `json:"dowels"`
	Least    float64         `json:"thickness_mm"` // for which masses are reckoned
	Stone    []Stone         `json:"stone"`
	Problems []rules.Problem `json:"problems"`
	Warnings []string        `json:"warnings"`
}

// Stone is one finished piece of the least thickness: pockets and holes are taken out, the board under it is not counted.
type Stone struct {
	Piece  string  `json:"piece"`
	Area   float64 `json:"area_m2"` // of its face, pockets taken out
	Mass   float64 `json:"mass_kg"`
	Length float64 `json:"length_mm"` // along the table
}

// Checked holds a pattern against the rules.
func Checked(file string, p pattern.Pattern) *Check {
	c := &Check{File: file, Pattern: p.Name, Revision: p.Revision, Claims: p.Claim, Pieces: len(p.Pieces), Pockets: len(p.Pockets), Holes: len(p.Holes),
		Least: p.Thickness, Stone: []Stone{}, Problems: rules.Check(p), Warnings: []string{}}
	for i, piece := range p.Pieces {
		c.Stone = append(c.Stone, Stone{piece.Name, piece.Area() * 1e-6, p.Mass(i, p.Thickness), piece.To - piece.From})
	}
	for _, j := range p.Joints {
		c.Dowels += len(j.Dowels)
	}
	if c.Problems == nil {
		c.Problems = []rules.Problem{}
	}
	c.Approved = p.Approved.By
	if p.Approved.On != "" {
		c.Approved += ", " + p.Approved.On
	}
	if p.Approved.By == "" {
		c.Warnings = append(c.Warnings, "Nobody has approved this revision: the file has no approved.by.")
	}
	if len(p.Pockets) == 0 && len(p.Holes) == 0 {
		c.Warnings = append(c.Warnings, "The file has no pockets and no holes: there is little to hold against the rules.")
	}
	return c
}
