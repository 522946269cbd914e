package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"github.com/evanw/esbuild/pkg/api"
	"go.yaml.in/yaml/v4"
)

// words lets a script import "words:pt": what the catalogue of that language says for scripts.
func words(root string) api.Plugin {
	return api.Plugin{Name: "words", Setup: func(b api.PluginBuild) {
		b.OnResolve(api.OnResolveOptions{Filter: `^words:`}, func(a api.OnResolveArgs) (api.OnResolveResult, error) {
			return api.OnResolveResult{Path: a.Path[len("words:"):], Namespace: "words"}, nil
		})
		b.OnLoad(api.OnLoadOptions{Filter: `.*`, Namespace: "words"}, func(a api.OnLoadArgs) (api.OnLoadResult, error) {
			text, err := catalogue(root, a.Path)
			return api.OnLoadResult{Contents: &text, Loader: api.LoaderJSON}, err
		})
	}}
}

// catalogue reads the words of a language as JSON. Scripts know no plural forms: each word is one text.
func catalogue(root, language string) (string, error) {
	path := filepath.Join(root, "..", "..", "tongue", language, "script.yaml")
	text, err := os.ReadFile(path)
	if err != nil {
		return "", err
	}
	var said map[string]string
	if err := yaml.Unmarshal(text, &said); err != nil {
		return "", fmt.Errorf("%s: %w", path, err)
	}
	if len(said) == 0 {
		return "", fmt.Errorf("%s has no word", path)
	}
	j, err := json.Marshal(said)
	return string(j), err
}
