package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
)

// notice is whose work is inside, and what its owner wrote about it.
type notice struct {
	Name    string `json:"name"`
	Version string `json:"version"`
	Licence string `json:"licence"`
	Text    string `json:"text"`
}

// licenceFile is how owners call the file.
var licenceFile = regexp.MustCompile(`(?i)^(licen[cs]e|copying)(\.(md|txt))?$`)

// writeNotices writes dist/notices.json.
func writeNotices(root string, inside map[string]bool) error {
	var list []notice
	for name := range inside {
		n, err := noticeOf(filepath.Join(root, "node_modules", name))
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		list = append(list, n)
	}
	slices.SortFunc(list, func(a, b notice) int {
		if a.Name < b.Name {
			return -1
		}
		return 1
	})
	text, err := json.MarshalIndent(list, "", "  ")
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(root, "dist", "notices.json"), append(text, '\n'), 0o644)
}

func noticeOf(dir string) (n notice, err error) {
	var about struct{ Name, Version, License string }
	text, err := os.ReadFile(filepath.Join(dir, "package.json"))
	if err != nil {
		return n, err
	}
	if err := json.Unmarshal(text, &about); err != nil {
		return n, err
	}
	n = notice{Name: about.Name, Version: about.Version, Licence: about.License}
	files, err := os.ReadDir(dir)
	if err != nil {
		return n, err
	}
	for _, f := range files {
		if licenceFile.MatchString(f.Name()) {
			text, err := os.ReadFile(filepath.Join(dir, f.Name()))
			n.Text = string(text)
			return n, err
		}
	}
	return n, fmt.Errorf("it has no licence file")
}
