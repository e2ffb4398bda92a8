package intake

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"io"
	"strings"
)

// readDocument reads the text and the pictures of a DOCX file (ISO/IEC 29500:
// a zip of XML parts).
func readDocument(name string, data []byte) []Raw {
	r := Raw{Where: name, Format: Document}
	if tooManyFiles(data) {
		r.weaker(Skipped, Damaged)
		return []Raw{r}
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		r.weaker(Skipped, Damaged)
		return []Raw{r}
	}
	left := int64(maxPage + maxPhotos*maxPhoto)
	for _, f := range z.File {
		switch {
		case f.Name == "word/document.xml" && r.Text == "":
			b, whole := unpack(f, maxPage)
			left -= int64(len(b))
			text, ok := documentText(b)
			if !whole || !ok {
				r.weaker(Skipped, Damaged)
				return []Raw{r}
			}
			r.Text = kept(text)
		case strings.HasPrefix(f.Name, "word/media/") && len(r.Photos) < maxPhotos && left > 0:
			b, whole := unpack(f, maxPhoto)
			left -= int64(len(b))
			if whole && isPicture(b) && len(b) >= smallest {
				r.Photos = append(r.Photos, Photo{shortName(f.Name[len("word/media/"):]), b})
			} else if !whole {
				r.note(LongPhoto)
			}
		}
	}
	if strings.TrimSpace(r.Text) == "" && len(r.Photos) > 0 {
		r.Text, r.Title = "", titleOf(name)
		r.weaker(Doubtful, Card)
		return []Raw{r}
	}
	judge(&r)
	if len(r.Photos) > 1 {
		r.note(MorePhotos)
	}
	return []Raw{r}
}

// unpack reads a file of an archive up to most bytes; whole is false where it
// is larger or damaged, whatever the archive says of its size.
func unpack(f *zip.File, most int64) (b []byte, whole bool) {
	rc, err := f.Open()
	if err != nil {
		return nil, false
	}
	defer rc.Close()
	b, err = io.ReadAll(io.LimitReader(rc, most+1))
	if int64(len(b)) > most {
		return b[:most], false
	}
	return b, err == nil
}

// documentText writes a document's paragraphs as lines: headings and lists as
// Markdown, a row of a table as one line.
func documentText(data []byte) (string, bool) {
	d := xml.NewDecoder(bytes.NewReader(data))
	var w wordWriter
	for {
		t, err := d.Token()
		if err == io.EOF {
			return w.b.String(), true
		}
		if err != nil {
			return w.b.String(), false
		}
		switch t := t.(type) {
		case xml.StartElement:
			w.start(t)
		case xml.EndElement:
			w.end(t.Name.Local)
		case xml.CharData:
			if w.inText {
				w.line.Write(t)
			}
		}
	}
}

type wordWriter struct {
	b, line strings.Builder
	mark    string
	inText  bool
	deleted int // inside text that was deleted, with changes tracked
	cells   int // depth of table cells
}

func (w *wordWriter) start(t xml.StartElement) {
	switch t.Name.Local {
	case "t":
		w.inText = w.deleted == 0
	case "del", "moveFrom":
		w.deleted++
	case "tab":
		w.line.WriteByte(' ')
	case "br", "cr":
		w.line.WriteByte('\n')
	case "noBreakHyphen":
		w.line.WriteByte('-')
	case "numPr":
		w.mark = "- "
	case "pStyle":
		w.style(t)
	case "tc":
		w.cells++
	}
}

func (w *wordWriter) style(t xml.StartElement) {
	for _, a := range t.Attr {
		style := strings.ToLower(strings.ReplaceAll(a.Value, " ", ""))
		switch {
		case a.Name.Local != "val":
		case style == "title" || style == "heading1":
			w.mark = "# "
		case strings.HasPrefix(style, "heading"):
			w.mark = "## "
		case strings.HasPrefix(style, "list") && w.mark == "":
			w.mark = "- "
		}
	}
}

func (w *wordWriter) end(name string) {
	switch name {
	case "t":
		w.inText = false
	case "del", "moveFrom":
		w.deleted = max(w.deleted-1, 0)
	case "tc":
		w.cells = max(w.cells-1, 0)
		w.line.WriteByte(' ')
	case "p":
		if w.cells > 0 { // the cells of a row stand on one line
			w.line.WriteByte(' ')
			return
		}
		w.paragraph()
	case "tr":
		w.paragraph()
	}
}

func (w *wordWriter) paragraph() {
	s := strings.TrimSpace(w.line.String())
	w.line.Reset()
	if s == "" {
		w.b.WriteByte('\n')
	} else {
		w.b.WriteString(w.mark + s + "\n")
		if strings.HasPrefix(w.mark, "#") {
			w.b.WriteByte('\n')
		}
	}
	w.mark = ""
}
