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
	Problems []rules.Problem `json:"problems"`
	Warnings []string        `json:"warnings"`
}

// Checked holds a pattern against the rules.
func Checked(file string, p pattern.Pattern) *Check {
	c := &Check{File: file, Pattern: p.Name, Revision: p.Revision, Claims: p.Claim, Pieces: len(p.Pieces), Pockets: len(p.Pockets), Holes: len(p.Holes),
		Problems: rules.Check(p), Warnings: []string{}}
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
