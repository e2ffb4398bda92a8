package pantry

import (
	"strings"
	"sync"
)

var citations = sync.OnceValue(func() map[string]string {
	m := map[string]string{}
	for _, row := range Rows("sources") {
		if len(row) > 1 {
			m[row[0]] = row[1]
		}
	}
	m["CP"] = "common practice, no source"
	return m
})

// Citation spells out the source codes of a row ("FSIS-FRY; FRYRANGE") for a
// reader who does not know them. What sources.tsv does not explain stays as it
// is.
func Citation(codes string) string {
	parts := strings.Split(codes, ";")
	for i, p := range parts {
		p = strings.TrimSpace(p)
		if cited, ok := citations()[p]; ok {
			p = cited
		}
		parts[i] = p
	}
	return strings.Join(parts, "; ")
}
