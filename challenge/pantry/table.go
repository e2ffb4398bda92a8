package pantry

import (
	"embed"
	"fmt"
	"strings"
)

//go:embed *.tsv
var files embed.FS

// Rows reads an embedded table ("oven") into its rows, without the heading row,
// each with as many fields as the heading. It panics on a broken table, which a
// test would have shown.
func Rows(table string) [][]string {
	b, err := files.ReadFile(table + ".tsv")
	if err != nil {
		panic("pantry: no table " + table)
	}
	lines := strings.Split(strings.TrimRight(string(b), "\n"), "\n")
	width := len(strings.Split(lines[0], "\t"))
	rows := make([][]string, 0, len(lines)-1)
	for i, line := range lines[1:] {
		f := strings.Split(line, "\t")
		if len(f) != width {
			panic(fmt.Sprintf("pantry: %s.tsv line %d has %d fields, not %d", table, i+2, len(f), width))
		}
		rows = append(rows, f)
	}
	return rows
}
