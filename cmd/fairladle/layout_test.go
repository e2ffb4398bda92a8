package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// allowed is the import rule of DEVELOPERS.md: which of our packages a package
// may import. A name ending in /... stands for everything below it.
var allowed = map[string][]string{
	"challenge/wording":          {},
	"challenge/measure":          {},
	"challenge/ledger":           {},
	"challenge/panel":            {},
	"challenge/season":           {},
	"challenge/ballot":           {},
	"challenge/ical":             {},
	"challenge/kitchen/schedule": {},
	"challenge/pantry":           {"challenge/measure"},
	"challenge/recipe":           {"challenge/measure", "challenge/pantry"},
	"challenge/intake":           {"challenge/recipe", "challenge/measure", "challenge/pantry"},
	"challenge/likeness":         {"challenge/recipe", "challenge/measure", "challenge/pantry"},
	"challenge/shortlist":        {"challenge/panel"},
	"challenge/tasting":          {"challenge/panel"},
	"challenge/draw":             {"challenge/ledger"},
	"challenge/kitchen":          {"challenge/kitchen/schedule", "challenge/ical", "challenge/recipe", "challenge/measure", "challenge/pantry"},
	"challenge":                  {"challenge/..."},
	"migrations":                 {},
	"static":                     {"static/check"},
	"static/check":               {},
	"store":                      {"challenge/...", "challenge", "migrations"},
	"store/backup":               {"store", "challenge/ledger"},
	"store/yardstick":            {},
	"store/plans":                {},
	"web":                        {"challenge/...", "challenge", "store", "static", "static/...", "web/..."},
	"web/announcement":           {},
	"web/card":                   {},
	"web/pdf":                    {},
	"web/photo":                  {},
	"web/text":                   {"challenge/wording"},
	"web/outbox":                 {"challenge", "challenge/wording", "store", "web/text"},
	"web/site":                   {"challenge/...", "challenge", "store", "static", "web/..."},
	"web/views":                  {"challenge/...", "challenge", "store", "static", "web/text"},
	"cmd/fairladle":              {"..."},
	"cmd/fairladle/demo":         {},
	"cmd/fairladle/mailfolder":   {},
}

// outside is what packages below challenge may import besides the standard
// library.
var outside = []string{"golang.org/x/text", "golang.org/x/mod", "golang.org/x/net/html", "gonum.org/v1/gonum", "github.com/gowebpki/jcs", "github.com/jhillyerd/enmime"}

const module = "fairladle"

func TestImportsFollowTheLayers(t *testing.T) {
	root := "../.."
	seen := map[string]bool{}
	err := filepath.WalkDir(root, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && file != root || d.Name() == "testdata" || d.Name() == "node_modules") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return nil
		}
		rel, err := filepath.Rel(root, file)
		require.NoError(t, err)
		pkg := path.Dir(filepath.ToSlash(rel))
		seen[pkg] = true
		checkImports(t, pkg, file)
		return nil
	})
	require.NoError(t, err)
	for pkg := range seen {
		_, err := os.Stat(filepath.Join(root, pkg, "doc.go"))
		single := pkg == "cmd/fairladle" || pkg == "static"
		require.True(t, err == nil || single, "package %s has no doc.go", pkg)
	}
}

func checkImports(t *testing.T, pkg, file string) {
	rule, known := allowed[pkg]
	require.True(t, known, "package %s is not in the table of layers; add it here and in DEVELOPERS.md", pkg)
	f, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
	require.NoError(t, err)
	for _, i := range f.Imports {
		name, err := strconv.Unquote(i.Path.Value)
		require.NoError(t, err)
		ours, isOurs := strings.CutPrefix(name, module+"/")
		switch {
		case ours == "challenge/wording" && strings.HasPrefix(pkg, "challenge"):
			// a sentence for people may come from anywhere in the domain
		case isOurs:
			require.True(t, slices.ContainsFunc(rule, func(r string) bool { return covers(r, ours) }), "%s imports %s, which the layers do not let it", file, name)
		case strings.HasPrefix(pkg, "challenge") && strings.Contains(strings.Split(name, "/")[0], "."):
			require.True(t, slices.ContainsFunc(outside, func(o string) bool { return strings.HasPrefix(name, o) }), "%s imports %s", file, name)
		case strings.HasPrefix(pkg, "challenge"):
			require.NotContains(t, []string{"net/http", "database/sql", "os", "crypto/rand", "math/rand"}, name, "%s: the domain is pure", file)
		}
	}
}

func covers(rule, name string) bool {
	prefix, all := strings.CutSuffix(rule, "...")
	if all {
		return strings.HasPrefix(name, prefix)
	}
	return rule == name
}
