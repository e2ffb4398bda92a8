package intake

import (
	"archive/zip"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"fairladle/challenge/recipe"
)

// An Out is one recipe on its way out. Name and Email are empty where they may
// not be told.
type Out struct {
	Number      int
	Title, Text string
	Name, Email string
	Received    time.Time
	Reading     recipe.Breakdown
}

// WriteTable writes recipes as CSV (RFC 4180): the text of each as it is, so
// that [All] reads back the same. A cell that a spreadsheet would take for a
// formula begins with an apostrophe, which reading takes off again.
func WriteTable(w io.Writer, recipes []Out) error {
	c := csv.NewWriter(w)
	rows := [][]string{{"number", "title", "text", "name", "email", "date"}}
	for _, o := range recipes {
		rows = append(rows, []string{strconv.Itoa(o.Number), guarded(o.Title), guarded(o.Text), guarded(o.Name), guarded(o.Email),
			o.Received.UTC().Format(time.RFC3339)})
	}
	if err := c.WriteAll(rows); err != nil {
		return fmt.Errorf("write table: %w", err)
	}
	return nil
}

// formula are the first letters that make a cell a formula, and the guard.
const formula = "=+-@\t'"

// guarded keeps a spreadsheet from running a cell.
func guarded(cell string) string {
	if cell != "" && strings.ContainsRune(formula, rune(cell[0])) {
		return "'" + cell
	}
	return cell
}

// unguarded takes the guard off again.
func unguarded(cell string) string {
	if len(cell) > 1 && cell[0] == '\'' && strings.ContainsRune(formula, rune(cell[1])) {
		return cell[1:]
	}
	return cell
}

// WriteTexts writes an archive with the text of each recipe as it is.
func WriteTexts(w io.Writer, recipes []Out) error {
	return writeArchive(w, recipes, ".txt", func(o Out) string { return o.Text })
}

// WriteMarkdown writes an archive with the breakdown of each recipe as
// Markdown.
func WriteMarkdown(w io.Writer, recipes []Out) error {
	return writeArchive(w, recipes, ".md", func(o Out) string { return o.Reading.Markdown() })
}

func writeArchive(w io.Writer, recipes []Out, ext string, text func(Out) string) error {
	z := zip.NewWriter(w)
	for _, o := range recipes {
		f, err := z.CreateHeader(&zip.FileHeader{Name: fileName(o) + ext, Method: zip.Deflate, Modified: o.Received.UTC()})
		if err != nil {
			return fmt.Errorf("write archive: %w", err)
		}
		if _, err := io.WriteString(f, text(o)); err != nil {
			return fmt.Errorf("write archive: %w", err)
		}
	}
	return z.Close()
}

// fileName is a name that every system can keep: "007-plum-tart".
func fileName(o Out) string {
	s := strings.Map(func(c rune) rune {
		switch {
		case unicode.IsLetter(c) && c < 0x250 || c >= '0' && c <= '9':
			return unicode.ToLower(c)
		}
		return '-'
	}, o.Title)
	var words []string
	for word := range strings.SplitSeq(s, "-") {
		if word != "" {
			words = append(words, word)
		}
	}
	s = strings.Join(words, "-")
	if len(s) > 60 {
		s = strings.ToValidUTF8(s[:60], "")
	}
	return strings.Trim(fmt.Sprintf("%03d-%s", o.Number, s), "-")
}

// WriteLinked writes recipes as one JSON-LD document of schema.org/Recipe.
func WriteLinked(w io.Writer, recipes []Out) error {
	type document struct {
		Context string            `json:"@context"`
		Graph   []json.RawMessage `json:"@graph"`
	}
	doc := document{Context: "https://schema.org", Graph: []json.RawMessage{}}
	for _, o := range recipes {
		l := o.Reading.Linked()
		l.Author = o.Name
		b, err := l.JSONLD()
		if err != nil {
			return fmt.Errorf("write recipe %d: %w", o.Number, err)
		}
		doc.Graph = append(doc.Graph, b)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(doc)
}
