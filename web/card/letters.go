package card

import (
	_ "embed" // the typeface
	"image"
	"image/color"
	"image/draw"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The site's own typeface, as static/fonts holds it for browsers.
//
//go:embed young-serif.ttf
var serif []byte

// typefaces are the serif, and one that has more alphabets for what it lacks.
var typefaces = sync.OnceValues(func() (fs [2]*opentype.Font, err error) {
	for i, b := range [][]byte{serif, goregular.TTF} {
		if fs[i], err = opentype.Parse(b); err != nil {
			return fs, err
		}
	}
	return fs, nil
})

// letters are words set in lines.
type letters struct {
	size  int
	lines []string
	cut   bool // the words did not fit and end in an ellipsis
	faces [2]font.Face
	has   func(r rune) bool // of the first face
}

// set breaks words into at most most lines of a width in pixels.
func set(words string, size, width, most int) (letters, error) {
	fs, err := typefaces()
	if err != nil {
		return letters{}, err
	}
	l := letters{size: size}
	for i, f := range fs {
		if l.faces[i], err = opentype.NewFace(f, &opentype.FaceOptions{Size: float64(size), DPI: 72}); err != nil {
			return l, err
		}
	}
	var b sfnt.Buffer
	l.has = func(r rune) bool {
		at, err := fs[0].GlyphIndex(&b, r)
		return err == nil && at != 0
	}
	l.fill(strings.Fields(strings.Map(printable, words)), width, most)
	return l, nil
}

func printable(r rune) rune {
	if unicode.IsSpace(r) {
		return ' '
	}
	if !unicode.IsPrint(r) {
		return -1
	}
	return r
}

func (l *letters) fill(words []string, width, most int) {
	for i, w := range words {
		if n := len(l.lines); n > 0 && l.width(l.lines[n-1]+" "+w) <= width {
			l.lines[n-1] += " " + w
			continue
		}
		if len(l.lines) == most {
			l.cut = true
			break
		}
		l.lines = append(l.lines, w)
		if i > 0 && l.width(w) > width {
			l.cut = true
		}
	}
	for i, s := range l.lines {
		l.lines[i] = l.shortened(s, width, l.cut && i == len(l.lines)-1)
	}
}

// shortened cuts a line that is too long, or that stands for more.
func (l *letters) shortened(s string, width int, more bool) string {
	if !more && l.width(s) <= width {
		return s
	}
	l.cut = true
	rs := []rune(s)
	for len(rs) > 0 && l.width(string(rs)+"…") > width {
		rs = rs[:len(rs)-1]
	}
	return strings.TrimRight(string(rs), " ,.;:") + "…"
}

func (l *letters) face(r rune) font.Face {
	if l.has(r) {
		return l.faces[0]
	}
	return l.faces[1]
}

// width measures a line in pixels.
func (l *letters) width(s string) int {
	var w fixed.Int26_6
	for _, r := range s {
		if a, ok := l.face(r).GlyphAdvance(r); ok {
			w += a
		}
	}
	return w.Ceil()
}

// draw writes the lines, the first on the baseline y, and returns the last
// baseline.
func (l *letters) draw(im draw.Image, x, y int, c color.Color) int {
	d := font.Drawer{Dst: im, Src: image.NewUniform(c)}
	for i, s := range l.lines {
		if i > 0 {
			y += l.size * 6 / 5
		}
		d.Dot = fixed.P(x, y)
		for _, r := range s {
			d.Face = l.face(r)
			d.DrawString(string(r))
		}
	}
	return y
}
