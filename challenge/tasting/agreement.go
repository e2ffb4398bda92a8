package tasting

import (
	"math"

	"fairladle/challenge/panel"
	"fairladle/challenge/wording"
)

// Measure is one figure of the details page.
type Measure struct {
	Key   string  `json:"key"` // "kendall-w", "icc-2-1", "icc-2-k", "alpha-interval", "durbin", "additive-f"
	Name  string  `json:"name"`
	Value float64 `json:"value"`
	P     float64 `json:"p,omitempty"` // chance of at least so much agreement among judges who mark at random
	HasP  bool    `json:"hasP,omitempty"`
	Exact bool    `json:"exact,omitempty"` // P is exact, not an approximation
	Low   float64 `json:"low,omitempty"`   // 95 per cent limits
	High  float64 `json:"high,omitempty"`
	HasCI bool    `json:"hasCI,omitempty"`
}

// Agreement is how far judges agree about the plates.
type Agreement struct {
	Complete bool      `json:"complete"`         // every judge scored every plate
	TooFew   bool      `json:"tooFew,omitempty"` // plates or judges, to say anything
	Measures []Measure `json:"measures"`
	Words    []string  `json:"words"`
}

// fewJudges is the panel from which figures about judges mean anything; below
// it pages show counts and plain words only.
const fewJudges = 5

// agreement measures a board of at least fewJudges judges and two plates.
func (b *board) agreement() Agreement {
	table := b.table()
	a := Agreement{Complete: table.Complete()}
	if len(table.Items) < 2 || len(table.Raters) < 2 {
		a.TooFew = true
		a.Words = wording.English(a.Sentences())
		return a
	}
	if a.Complete {
		a.complete(table)
	} else {
		a.incomplete(table)
	}
	a.Words = wording.English(a.Sentences())
	return a
}

func (a *Agreement) add(m Measure) {
	for _, x := range []float64{m.Value, m.P, m.Low, m.High} {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return
		}
	}
	a.Measures = append(a.Measures, m)
}

func (a *Agreement) complete(table *panel.Table) {
	rows, err := table.Matrix()
	if err != nil {
		return
	}
	if c, err := panel.Concord(rows); err == nil {
		m := Measure{Key: "kendall-w", Name: wording.Key("Kendall's W"), Value: c.W, P: c.Friedman.P, HasP: true}
		if p, ok := panel.FriedmanExact(rows); ok {
			m.P, m.Exact = p, true
		}
		a.add(m)
	}
	if r, err := panel.Intraclasses(rows); err == nil && r.BMS > 0 {
		a.add(Measure{Key: "icc-2-1", Name: wording.Key("ICC(2,1), one judge"), Value: r.TwoSingle.Value, Low: r.TwoSingle.Low, High: r.TwoSingle.High, HasCI: true})
		a.add(Measure{Key: "icc-2-k", Name: wording.Key("ICC(2,k), the whole panel"), Value: r.TwoMean.Value, Low: r.TwoMean.Low, High: r.TwoMean.High, HasCI: true})
	}
}

func (a *Agreement) incomplete(table *panel.Table) {
	if alpha, err := panel.Alpha(table, panel.Interval); err == nil {
		a.add(Measure{Key: "alpha-interval", Name: wording.Key("Krippendorff's alpha (interval)"), Value: alpha})
	}
	if d, err := panel.Durbin(table); err == nil {
		a.add(Measure{Key: "durbin", Name: wording.Key("Durbin's test (F form)"), Value: d.F.Statistic, P: d.F.P, HasP: true})
		return
	}
	if fit, err := panel.Additive(table); err == nil && fit.Groups.Count == 1 && fit.DF > 0 {
		v := fit.Variance()
		a.add(Measure{Key: "additive-f", Name: wording.Key("F test of the plates, judges taken out"), Value: v.Items.Statistic, P: v.Items.P, HasP: true})
	}
}

// Sentences turn the figures into words. The bounds are common practice, no
// source: they name degrees, they test nothing.
func (a Agreement) Sentences() []wording.Sentence {
	var t teller
	switch {
	case a.TooFew:
		t.say("There are too few plates or judges to say how far the judges agree.")
		return t.told
	case len(a.Measures) == 0:
		t.say("The scores do not let anybody say how far the judges agree: too few of them told the plates apart.")
		return t.told
	}
	first := a.Measures[0]
	if first.Key == "kendall-w" || first.Key == "alpha-interval" {
		switch v := first.Value; {
		case v >= .7:
			t.say("The judges agreed closely about the order of the plates.")
		case v >= .5:
			t.say("The judges agreed fairly well about the order of the plates.")
		case v >= .3:
			t.say("The judges agreed only in part about the order of the plates.")
		default:
			t.say("The judges hardly agreed about the order of the plates: tastes differed.")
		}
	}
	for _, m := range a.Measures {
		if !m.HasP {
			continue
		}
		if m.P <= .05 {
			t.say("Judges who mark at random would seldom agree as much as this.")
		} else {
			t.say("Judges who mark at random would agree as much as this quite often, so the differences between the plates could be chance.")
		}
	}
	return t.told
}
