package pdf

import (
	"math"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/ledongthuc/pdf"
)

// A run is a stretch of letters that was set at one place.
type run struct {
	x, y, end, size float64
	text            strings.Builder
}

// lines puts the letters of a page into lines, in the order in which the page
// sets them: columns are set one after the other, so sorting would mix them.
func lines(letters []pdf.Text) string {
	var out strings.Builder
	var line []*run
	for _, r := range runs(letters) {
		if n := len(line); n > 0 && math.Abs(line[n-1].y-r.y) > 0.4*r.size {
			down := line[0].y - r.y
			write(&out, line)
			if down > 1.9*min(r.size, line[0].size) || down < -r.size {
				out.WriteByte('\n')
			}
			line = line[:0]
		}
		line = append(line, r)
	}
	write(&out, line)
	return out.String()
}

// runs joins letters that are set at the same place or right after each other.
// Fonts that do not say how wide their letters are give all of a run one place.
func runs(letters []pdf.Text) []*run {
	var out []*run
	for _, l := range letters {
		size := max(l.FontSize, 1)
		if n := len(out); n > 0 {
			p := out[n-1]
			near := l.X == p.x || l.W > 0 && l.X >= p.end-0.3*size && l.X <= p.end+0.15*size
			if near && math.Abs(p.y-l.Y) < 0.1*size {
				p.text.WriteString(l.S)
				p.end = ending(p, l)
				continue
			}
		}
		r := &run{x: l.X, y: l.Y, size: size}
		r.text.WriteString(l.S)
		r.end = ending(r, l)
		out = append(out, r)
	}
	return out
}

// ending is where the run ends: as the font says, else by half its size a letter.
func ending(r *run, l pdf.Text) float64 {
	if l.W > 0 {
		return l.X + l.W
	}
	return r.x + 0.5*r.size*float64(utf8.RuneCountInString(r.text.String()))
}

// write sets one line, with a blank where its runs stand apart.
func write(out *strings.Builder, line []*run) {
	slices.SortStableFunc(line, func(a, b *run) int {
		switch {
		case a.x < b.x:
			return -1
		case a.x > b.x:
			return 1
		}
		return 0
	})
	var b strings.Builder
	for i, r := range line {
		if i > 0 && r.x > line[i-1].end+0.15*r.size {
			b.WriteByte(' ')
		}
		b.WriteString(r.text.String())
	}
	if v := strings.Join(strings.Fields(b.String()), " "); v != "" {
		out.WriteString(v + "\n")
	}
}
