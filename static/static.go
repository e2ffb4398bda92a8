// Package static holds what browsers load besides pages: style sheets,
// scripts, icons and fonts. Every file is served under a name that holds a
// hash of its content, so that it can be cached for ever and never be stale.
package static

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"regexp"
	"strings"
)

//go:embed *.css *.js *.svg fonts/*.woff2 check/*.js
var files embed.FS

// Prefix is the path under which files are served.
const Prefix = "/static/"

type asset struct {
	body []byte
	kind string
}

var byName, byPath = load()

var kinds = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8",
	".svg": "image/svg+xml", ".woff2": "font/woff2"}

// load names every file by its content. Style sheets refer to fonts by their
// plain name, url(fonts/x.woff2), and are rewritten first.
func load() (names map[string]string, paths map[string]asset) {
	names, paths = map[string]string{}, map[string]asset{}
	for _, wanted := range []string{".woff2", ".svg", ".css", ".js"} {
		err := fs.WalkDir(files, ".", func(p string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || path.Ext(p) != wanted {
				return err
			}
			body, err := files.ReadFile(p)
			if err != nil {
				return err
			}
			if wanted == ".css" {
				body = rewrite(body, names)
			}
			sum := sha256.Sum256(body)
			hashed := Prefix + hex.EncodeToString(sum[:6]) + "-" + path.Base(p)
			names[p], paths[hashed] = hashed, asset{body, kinds[wanted]}
			return nil
		})
		if err != nil {
			panic(fmt.Sprintf("embedded files cannot be read: %v", err))
		}
	}
	return names, paths
}

var reference = regexp.MustCompile(`url\(([a-z0-9./-]+)\)`)

func rewrite(css []byte, names map[string]string) []byte {
	return reference.ReplaceAllFunc(css, func(m []byte) []byte {
		name := strings.TrimSuffix(strings.TrimPrefix(string(m), "url("), ")")
		hashed, ok := names[name]
		if !ok {
			panic("a style sheet refers to " + name + ", which is not embedded")
		}
		return []byte("url(" + hashed + ")")
	})
}

// Path is the address of a file by its plain name, such as "fairladle.css".
// It panics for a name that is not embedded: a page would be broken.
func Path(name string) string {
	p, ok := byName[name]
	if !ok {
		panic("no embedded file " + name)
	}
	return p
}

// Bytes is a file's content as served.
func Bytes(name string) []byte { return byPath[Path(name)].body }

// Serve answers requests below Prefix.
func Serve(w http.ResponseWriter, r *http.Request) {
	a, ok := byPath[r.URL.Path]
	if !ok {
		http.NotFound(w, r)
		return
	}
	h := w.Header()
	h.Set("Content-Type", a.kind)
	h.Set("Cache-Control", "public, max-age=31536000, immutable")
	h.Set("Content-Length", fmt.Sprint(len(a.body)))
	if r.Method != http.MethodHead {
		w.Write(a.body) //nolint:errcheck // the client is gone
	}
}
