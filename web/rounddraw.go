package web

import (
	"fmt"
	"net/http"
	"strconv"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

// readDraw decodes how a round draws. Public sources are kept only where the
// way to draw uses them.
func readDraw(r *http.Request, zone string, p *challenge.Params) {
	p.Method, p.Places, p.OneEach = field(r, "method"), number(r, "places"), ticked(r, "one_each")
	p.Faces, p.Parties, p.Minutes = numbers(field(r, "faces")), names(field(r, "parties")), number(r, "minutes")
	p.Sources, p.Later = nil, nil
	switch draw.Method(p.Method) {
	case draw.ByPublics:
		for i := 1; r.PostForm.Has(sourceField(i, "name")); i++ {
			if s := readSource(r, i, zone); s != (draw.Source{Form: s.Form}) {
				p.Sources = append(p.Sources, s.Counted())
			}
		}
	case draw.BySeeds:
		if field(r, "missing") == "value" {
			p.Later = new(readSource(r, 0, zone).Counted())
		}
	}
}

// sourceField names a field of the form's source number i; 0 is the value that
// is mixed with sealed seeds.
func sourceField(i int, name string) string { return fmt.Sprintf("source-%d-%s", i, name) }

func readSource(r *http.Request, i int, zone string) draw.Source {
	get := func(name string) string { return field(r, sourceField(i, name)) }
	return draw.Source{Name: get("name"), At: draw.At(moment(r, sourceField(i, "at"), zone)), How: get("how"), Form: get("form"),
		Count: whole(get("count")), Low: int64(whole(get("low"))), High: int64(whole(get("high"))), Distinct: get("distinct") != "", Bits: whole(get("bits"))}
}

// whole is a whole number that may be left empty; what is none is -1, which
// every check refuses.
func whole(typed string) int {
	if typed == "" {
		return 0
	}
	n, err := strconv.Atoi(typed)
	if err != nil {
		return -1
	}
	return n
}
