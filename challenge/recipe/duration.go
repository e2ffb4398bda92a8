package recipe

import (
	"sync"

	"fairladle/challenge/measure"
)

// timeUnits are minutes per unit; a month is 30 days.
var timeUnits = sync.OnceValue(func() map[string]float64 {
	m := map[string]float64{}
	for w, v := range wordList("time") {
		f := wordValue(v)
		m[w] = float64(f.n) / float64(f.d)
	}
	return m
})

// durations finds every explicit time in the tokens, in order.
func (r *reader) durations(t []token) []Duration {
	var out []Duration
	for i := 0; i < len(t); i++ {
		if t[i].k != digits && t[i].k != vulgar && t[i].cls&isNumber == 0 && !r.isArticle(t, i) && !r.another(t, i) {
			continue
		}
		if i > 0 && t[i].k == digits && (t[i-1].c == '/' || t[i-1].c == '.' && !t[i].space) {
			continue
		}
		d, next, ok := r.duration(t, i)
		if !ok {
			continue
		}
		d.Text = r.clean(d.At.Start, d.At.End)
		r.durationMarks(t, i, next, &d)
		out = append(out, d)
		i = next - 1
	}
	return out
}

func (r *reader) isArticle(t []token, i int) bool {
	w := r.word(t, i)
	return w == "a" || w == "an"
}

// another reads "another hour", "another hour and a half" at i as one unit.
func (r *reader) another(t []token, i int) bool {
	if w := r.word(t, i); w != "another" && w != "extra" {
		return false
	}
	_, _, ok := r.timeUnit(t, i+1)
	return ok
}

// duration reads one time at token i: "2-3 minutes", "1 h 30", "half an hour",
// "a minute or two".
func (r *reader) duration(t []token, i int) (d Duration, next int, ok bool) {
	if d, next, ok := r.clockDuration(t, i); ok {
		return d, next, true
	}
	article := r.isArticle(t, i)
	lo, j, ok := r.number(t, i, true)
	slashed := false
	if ok && j == i+3 && t[i+1].c == '/' && r.small(t[i]) >= 5 && lo.Cmp(measure.Whole(1)) < 0 { // 15/20 minutes
		lo, j, slashed = measure.Whole(r.small(t[i])), i+1, true
	}
	if r.another(t, i) {
		lo, j, ok = measure.Whole(1), i+1, true
	}
	if !ok {
		return d, i, false
	}
	hi := lo
	loUnit := 0.0
	if per, n, ok := r.timeUnit(t, j); ok { // "30 minutes to 1 hour"
		loUnit, j = per, n
	} else if slashed {
		hi, j = measure.Whole(r.small(t[i+2])), i+3
	} else if h, n, ok := r.rangeEnd(t, j); ok {
		hi, j = h, n
	} else if r.word(t, j) == "or" && (r.word(t, j+1) == "more" || r.word(t, j+1) == "so") {
		j += 2
	}
	per := loUnit
	if loUnit == 0 {
		u, n, ok := r.timeUnit(t, r.timeFiller(t, j))
		if !ok {
			return d, i, false
		}
		per, j = u, n
	}
	if article && per == 1./60 && r.word(t, i-1) != "for" && r.word(t, i-1) != "about" {
		return d, i, false // "a second bowl"
	}
	d.MinMinutes, d.MaxMinutes = lo.Float()*per, hi.Float()*per
	j = r.moreTime(t, j, per, &d, loUnit != 0)
	d.At = Place{t[i].s, t[j-1].e}
	return d, j, true
}

// clockDuration reads "1:30 hours".
func (r *reader) clockDuration(t []token, i int) (d Duration, next int, ok bool) {
	if i+3 >= len(t) || t[i].k != digits || t[i+1].c != ':' || t[i+1].space || t[i+2].k != digits || t[i+2].space || t[i+2].e-t[i+2].s != 2 {
		return d, i, false
	}
	per, next, ok := r.timeUnit(t, i+3)
	if !ok || per != 60 || r.small(t[i+2]) > 59 {
		return d, i, false
	}
	d.MinMinutes = float64(60*r.small(t[i]) + r.small(t[i+2]))
	d.MaxMinutes, d.At = d.MinMinutes, Place{t[i].s, t[next-1].e}
	return d, next, true
}

// timeFiller skips words between a number and its unit: "10 more minutes",
// "half an hour", "three-quarters of an hour", "couple of minutes".
func (r *reader) timeFiller(t []token, j int) int {
	for k := 0; k < 3; k++ {
		switch w := r.word(t, j); w {
		case "more", "additional", "extra", "full", "good", "of", "an", "a", "further", "whole", "solid", "long", "to":
			if w == "to" {
				return j
			}
			j++
			continue
		}
		if j < len(t) && t[j].k == dash && !t[j].space {
			j++
			continue
		}
		break
	}
	return j
}

func (r *reader) timeUnit(t []token, j int) (float64, int, bool) {
	if j < len(t) && t[j].k == dash && !t[j].space {
		j++
	}
	if j >= len(t) || t[j].k != word {
		return 0, j, false
	}
	w := r.low[t[j].s:t[j].e]
	u, ok := timeUnits()[w]
	if !ok && !t[j].space && (w == "m" || w == "s") {
		u, ok = 1, true
		if w == "s" {
			u = 1. / 60
		}
	}
	if !ok {
		return 0, j, false
	}
	j++
	if j+1 < len(t) && t[j].c == '.' && !t[j].space && len(w) <= 4 && t[j+1].k == word && r.text[t[j+1].s] >= 'a' {
		j++
	}
	if j+2 < len(t) && t[j].c == '(' && r.word(t, j+1) == "s" && t[j+2].c == ')' {
		j += 3
	}
	return u, j, true
}

// moreTime reads what goes on after number and unit: "1 hour 30 minutes",
// "an hour and a half", "a minute or two", "30 minutes to 1 hour".
func (r *reader) moreTime(t []token, j int, per float64, d *Duration, single bool) int {
	if f, next, ok := r.halfAfterAnd(t, j); ok {
		if _, _, unit := r.timeUnit(t, r.timeFiller(t, next)); !unit {
			d.MinMinutes += f.Float() * per
			d.MaxMinutes += f.Float() * per
			return next
		}
	}
	if r.word(t, j) == "or" && r.word(t, j+1) == "two" && d.MinMinutes == per { // a minute or two
		if _, _, unit := r.timeUnit(t, j+2); !unit {
			d.MaxMinutes = 2 * per
			return j + 2
		}
	}
	if !single {
		return j
	}
	k := j
	if k+1 < len(t) && t[k].c == '.' && !t[k].space && t[k-1].e-t[k-1].s <= 4 && t[k+1].k == digits { // 1 hr. 15 min.
		k++
	}
	w := r.word(t, k)
	joined := w == "and" || k < len(t) && (t[k].c == ',' || t[k].c == '&')
	if joined {
		k++
	}
	n, next, ok := r.number(t, k, false)
	if ok && next > k {
		u, after, unit := r.timeUnit(t, next)
		if unit && u < per && t[k].k != punct {
			add := n.Float() * u
			d.MinMinutes += add
			d.MaxMinutes += add
			return after
		}
		if !unit && !joined && per == 60 && t[k].k == digits && (!t[k].space || next >= len(t)) && n.Cmp(measure.Whole(60)) < 0 { // 1h30
			d.MinMinutes += n.Float()
			d.MaxMinutes += n.Float()
			return r.untilTime(t, next, d)
		}
	}
	return r.untilTime(t, j, d)
}

// untilTime reads the end of "30 minutes to 1 hour", "1h30/2h".
func (r *reader) untilTime(t []token, j int, d *Duration) int {
	w := r.word(t, j)
	if w != "to" && w != "or" && !(j < len(t) && (t[j].k == dash || t[j].c == '/')) {
		return j
	}
	if n, next, ok := r.number(t, j+1, true); ok {
		if u, after, unit := r.timeUnit(t, r.timeFiller(t, next)); unit && n.Float()*u > d.MinMinutes {
			d.MaxMinutes = n.Float() * u
			return after
		}
	}
	return j
}

// durationMarks tells intervals and storage times from work.
func (r *reader) durationMarks(t []token, from, to int, d *Duration) {
	for k := from - 1; k >= 0 && k >= from-6 && t[k].c != '.'; k-- {
		switch r.word(t, k) {
		case "every":
			d.Every = d.Every || k >= from-2
		case "about", "approximately", "around", "roughly", "approx":
			d.About = d.About || k >= from-2
		case "keep", "keeps", "store", "stored", "stays", "last", "lasts":
			d.Keeps = d.MinMinutes >= 1440
		}
	}
	switch r.word(t, to) {
	case "per", "each", "a":
		d.Each = true
	case "on":
		d.Each = r.word(t, to+1) == "each" || r.word(t, to+1) == "both"
	}
}
