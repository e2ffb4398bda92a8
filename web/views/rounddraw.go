package views

import (
	"fmt"
	"strconv"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// sources are those of a round, and an empty one to fill in.
func (p RoundsPage) sources(r challenge.Round) []draw.Source {
	return append(r.Params.Sources[:len(r.Params.Sources):len(r.Params.Sources)], draw.Source{})
}

func later(r challenge.Round) draw.Source {
	if r.Params.Later == nil {
		return draw.Source{}
	}
	return *r.Params.Later
}

// bitsNeeded is the surprise that the places of a draw take among the entries
// that are expected in it.
func (p RoundsPage) bitsNeeded(r challenge.Round) int {
	in := p.Challenge.ExpectedIn(r)
	return draw.BitsNeeded(in, max(0, min(r.Params.Places, in)))
}

func (p RoundsPage) bitsPlanned(r challenge.Round) int {
	return draw.Plan{Sources: r.Params.Sources}.Bits()
}

func sourceName(i int, name string) string { return fmt.Sprintf("source-%d-%s", i, name) }

func sourceID(r challenge.Round, i int, name string) string {
	return fmt.Sprintf("%s-%d", sourceName(i, name), r.Position)
}

// zeroless leaves a field empty where nothing was said.
func zeroless(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// valueMode is the keyboard for typing the values of a source.
func valueMode(s draw.Source) string {
	if s.Form == draw.Text {
		return "text"
	}
	return "decimal"
}
