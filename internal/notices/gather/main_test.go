package main

import (
	"strings"
	"testing"

	"slatewright/internal/notices"
)

// phrases are words that stand in every copy of a licence (from the licences as the SPDX list publishes them).
var phrases = map[string]string{
	"MIT":            "Permission is hereby granted, free of charge, to any person obtaining a copy",
	"BSD-3-Clause":   "Redistribution and use in source and binary forms",
	"Apache-2.0":     "Apache License, Version 2.0",
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
			if phrases[licence] == "" || !strings.Contains(words, phrases[licence]) {
				t.Errorf("%s: the table says %q, and the module's texts do not", name, licence)
			}
		}
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
