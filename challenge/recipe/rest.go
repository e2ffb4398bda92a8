package recipe

import (
	"strings"
)

// restBuilder gathers what is not the name.
type restBuilder struct {
	preps, notes []string
}

func (b *restBuilder) prep(s string) {
	if s != "" {
		b.preps = append(b.preps, s)
	}
}

func (b *restBuilder) note(s string) {
	if s != "" {
		b.notes = append(b.notes, s)
	}
}

func join(s []string) string {
	if len(s) == 1 {
		return s[0]
	}
	return strings.Join(s, ", ")
}

// rest sorts what follows the name into preparation, alternatives, marks, notes.
func (r *reader) rest(t []token, sp span, in *Ingredient, out *restBuilder) {
	for p := sp.from; p < sp.to; {
		q, depth := p, 0
		for q < sp.to {
			c := t[q].c
			if c == '(' || c == ')' || t[q].k == punct && (c == ',' || c == ';') {
				break
			}
			if c == '.' && q+1 < sp.to && t[q+1].space && depth == 0 {
				break
			}
			q++
		}
		if q > p {
			r.remark(t, p, q, in, out)
		}
		p = q + 1
	}
}

func (r *reader) remark(t []token, p, q int, in *Ingredient, out *restBuilder) {
	s := r.phrase(t, p, q)
	if s == "" {
		return
	}
	prep := false
	for i := p; i < q; i++ {
		w := r.word(t, i)
		switch {
		case w == "optional" || w == "optionally" || w == "desired":
			in.Optional = true
			if q-p == 1 {
				return
			}
		case w == "taste" && r.word(t, i-1) == "to":
			in.ToTaste = true
		case w == "divided" && q-p == 1:
			in.Divided = true
		case t[i].cls&isPrep != 0 || w == "temperature" || w == "into" || w == "removed":
			prep = true
		}
	}
	if r.word(t, p) == "or" {
		if alt := r.phrase(t, p+1, q); alt != "" {
			in.Alternatives = append(in.Alternatives, alt)
		}
		out.notes = append(out.notes, s)
		return
	}
	if prep && (t[p].cls&isAbout == 0 || t[p].cls&isPrep != 0 || p+1 < q && t[p+1].cls&isPrep != 0) {
		out.prep(s)
		return
	}
	out.notes = append(out.notes, s)
}
