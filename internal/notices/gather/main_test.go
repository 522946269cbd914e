package main

import (
	"strings"
	"testing"

	"slatewright/internal/notices"
)

// phrases are words by which a licence is known: they stand in every copy (from the licences as the SPDX list publishes them), or,
// after the bar, in a notice that only refers to it.
var phrases = map[string]string{
	"MIT":            "Permission is hereby granted, free of charge, to any person obtaining a copy|covered by their original MIT license",
	"BSD-3-Clause":   "Redistribution and use in source and binary forms",
	"Apache-2.0":     "Apache License Version 2.0|Licensed under the Apache License, Version 2.0",
	"BSD-2-Clause":   "Redistribution and use in source and binary forms",
	"MPL-2.0":        "Mozilla Public License Version 2.0",
	"blessing":       "May you do good and not evil|has been dedicated to the public domain by the authors",
	"Bitstream-Vera": "Bitstream Vera is a trademark of Bitstream, Inc.",
}

func TestEveryTextIsThereAndIsOfTheLicenceThatTheTableNames(t *testing.T) {
	g, err := gather()
	if err != nil {
		t.Fatal(err)
	}
	if len(g) < 2 {
		t.Fatalf("gathered %d modules", len(g))
	}
	for name, texts := range g {
		module, _, _ := strings.Cut(name, "@")
		var all strings.Builder
		for _, text := range texts {
			all.WriteString(text.Text + "\n")
		}
		words := strings.Join(strings.Fields(all.String()), " ")
		for _, licence := range strings.Split(notices.Table[module].Licence, " AND ") {
			if !known(licence, words) {
				t.Errorf("%s: the table says %q, and the module's texts do not", name, licence)
			}
		}
	}
}

func known(licence, words string) bool {
	for _, phrase := range strings.Split(phrases[licence], "|") {
		if phrase != "" && strings.Contains(words, phrase) {
			return true
		}
	}
	return false
}

func TestLicenceIsKnownByItsWords(t *testing.T) {
	const words = "under the Apache License Version 2.0, January 2004"
	if !known("Apache-2.0", words) || known("MIT", words) || known("Unheard-of-1.0", words) {
		t.Error("a licence is taken for another")
	}
}

func TestNamesOfNotices(t *testing.T) {
	for file, want := range map[string]bool{"LICENSE": true, "LICENSE-DejaVu": true, "Licence.md": true, "COPYING": true, "NOTICE": true,
		"license.go": false, "README.md": false, "main.go": false} {
		if isNotice(file) != want {
			t.Errorf("%s: %v, want %v", file, !want, want)
		}
	}
}
