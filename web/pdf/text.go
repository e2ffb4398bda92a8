package pdf

import (
	"bytes"
	"errors"
	"strings"

	"github.com/ledongthuc/pdf"
)

// Bounds of one file.
const (
	MaxPages = 60
	MaxText  = 400 << 10 // bytes
	MaxBytes = 40 << 20  // of the file
)

// ErrNoText says that nothing could be read: a scan, a protected or a damaged
// file.
var ErrNoText = errors.New("pdf: no text in it")

// Text gives the text of a PDF, a line for each line on its pages and a blank
// line between pages. It may take long on a hostile file: see Apart.
func Text(data []byte) (text string, err error) {
	defer func() {
		if recover() != nil {
			text, err = "", ErrNoText
		}
	}()
	if len(data) > MaxBytes {
		return "", ErrNoText
	}
	r, err := pdf.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return "", ErrNoText
	}
	var out strings.Builder
	for n := 1; n <= min(r.NumPage(), MaxPages) && out.Len() < MaxText; n++ {
		page(&out, r.Page(n))
	}
	text = strings.TrimSpace(out.String())
	if text == "" {
		return "", ErrNoText
	}
	return strings.ToValidUTF8(text[:min(len(text), MaxText)], ""), nil
}

// page adds the lines of one page; a page that trips the reader is left out.
func page(out *strings.Builder, p pdf.Page) {
	defer func() { _ = recover() }() //nolint:errcheck // a panic's value says nothing to a person
	if p.V.IsNull() {
		return
	}
	out.WriteString(lines(p.Content().Text) + "\n")
}
