package tasting_test

import (
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/tasting"
)

func TestPoints(t *testing.T) {
	for text, want := range map[string]tasting.Points{"7": 700, "7.5": 750, "7,5": 750, " 0.05 ": 5, "-0.25": -25, "10.0": 1000, "0": 0} {
		p, err := tasting.ParsePoints(text)
		require.NoError(t, err, text)
		require.Equal(t, want, p, text)
	}
	for _, text := range []string{"", "-", ".5", "7.555", "1e3", "7.5.1", "--1", "+1", "seven", "1234567890", "٧"} {
		_, err := tasting.ParsePoints(text)
		require.ErrorIs(t, err, tasting.ErrPoints, text)
	}
	require.Equal(t, []string{"7", "7.5", "0.05", "-0.25", "0", "10"}, []string{
		tasting.Points(700).String(), tasting.Points(750).String(), tasting.Points(5).String(),
		tasting.Points(-25).String(), tasting.Points(0).String(), tasting.Points(1000).String()})
}

func FuzzPoints(f *testing.F) {
	for _, s := range []string{"7.5", "-0,25", "1e9", "", "00.10", "999999999.99"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, err := tasting.ParsePoints(s)
		if err != nil {
			require.ErrorIs(t, err, tasting.ErrPoints)
			return
		}
		again, err := tasting.ParsePoints(p.String())
		require.NoError(t, err)
		require.Equal(t, p, again)
	})
}

// Whatever a phone sends as a sheet, the tally takes it or says why not.
func FuzzSheet(f *testing.F) {
	f.Add([]byte(`{"judge":1,"plate":101,"scores":{"taste":7.5}}`))
	f.Add([]byte(`{"judge":1,"plate":101,"scores":{"taste":1e99}}`))
	f.Add([]byte(`{"judge":-1,"plate":0,"scores":null}`))
	f.Fuzz(func(t *testing.T, b []byte) {
		var s tasting.Sheet
		if json.Unmarshal(b, &s) != nil {
			return
		}
		for _, kind := range tasting.Kinds() {
			v := mustTally(t, rule(kind), taste, plates(2), append(one([]float64{5, 6}), s))
			require.Equal(t, 3, v.Sheets+len(v.LeftOut)+overwritten(s, v))
		}
	})
}

// overwritten is 1 where the sheet stands in for an earlier one by judge 1.
func overwritten(s tasting.Sheet, v tasting.Verdict) int {
	if s.Judge == 1 && len(v.LeftOut) == 0 {
		return 1
	}
	return 0
}

// The locked form of a rule: what is hashed and published must not change.
func TestRuleAsJSON(t *testing.T) {
	r := tasting.Rule{Kind: tasting.TrimmedMean, Trim: 10, Missing: tasting.Renormalise,
		TieBreaks:     []tasting.TieBreak{tasting.OnCriterion("taste"), tasting.HeadToHead, tasting.Draw},
		SmallestPanel: 5, Below: tasting.ToAudience}
	b, err := json.Marshal(r)
	require.NoError(t, err)
	require.JSONEq(t, `{"kind":"trimmed","trim":10,"missing":"renormalise","tieBreaks":["criterion:taste","head-to-head","draw"],"smallestPanel":5,"below":"audience"}`, string(b))
	var back tasting.Rule
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, r, back)

	b, err = json.Marshal(tasting.Criterion{Key: "taste", Name: "Taste", Weight: 2, Scale: tasting.Halves(), LowWord: "poor", HighWord: "superb"})
	require.NoError(t, err)
	require.JSONEq(t, `{"key":"taste","name":"Taste","weight":2,"scale":{"kind":"tenths-half","min":0,"max":10,"step":0.5},"lowWord":"poor","highWord":"superb"}`, string(b))
}

// A verdict that was kept as JSON says the same and can still be settled.
func TestVerdictAsJSON(t *testing.T) {
	v := mustTally(t, rule(tasting.WeightedMean, tasting.Draw), taste, plates(3), one([]float64{8, 5, 5}, []float64{7, 6, 6}, []float64{9, 4, 4}))
	b, err := json.Marshal(v)
	require.NoError(t, err)
	var back tasting.Verdict
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, v.Sentences(tasting.PlateNumber), back.Sentences(tasting.PlateNumber))
	want, err := v.Drawn([]int64{103, 102})
	require.NoError(t, err)
	got, err := back.Drawn([]int64{103, 102})
	require.NoError(t, err)
	require.Equal(t, want.Words, got.Words)
	require.Contains(t, got.Words, "Plate 103 and plate 102 have the same score; plate 103 stands higher because the recorded draw put it there.")
	require.Equal(t, []int64{101, 103, 102}, got.Order())
}

func TestRulesThatCannotBeLocked(t *testing.T) {
	good := rule(tasting.WeightedMean)
	for name, c := range map[string]struct {
		change func(*tasting.Rule)
		says   string
	}{
		"kind":          {func(r *tasting.Rule) { r.Kind = "guess" }, "unknown tally rule"},
		"trim":          {func(r *tasting.Rule) { r.Trim = 10 }, "only the trimmed mean"},
		"no trim":       {func(r *tasting.Rule) { r.Kind = tasting.TrimmedMean }, "between 1 and 49"},
		"missing":       {func(r *tasting.Rule) { r.Missing = "" }, "missing scores"},
		"by criterion":  {func(r *tasting.Rule) { r.Kind, r.Missing = tasting.Borda, tasting.ByCriterion }, "weighted mean only"},
		"criterion":     {func(r *tasting.Rule) { r.TieBreaks = []tasting.TieBreak{tasting.OnCriterion("smell")} }, "smell"},
		"draw not last": {func(r *tasting.Rule) { r.TieBreaks = []tasting.TieBreak{tasting.Draw, tasting.HeadToHead} }, "last tie-break"},
		"rung twice":    {func(r *tasting.Rule) { r.TieBreaks = []tasting.TieBreak{tasting.HeadToHead, tasting.HeadToHead} }, "twice"},
		"unknown rung":  {func(r *tasting.Rule) { r.TieBreaks = []tasting.TieBreak{"age"} }, "unknown tie-break"},
		"no below":      {func(r *tasting.Rule) { r.SmallestPanel = 3 }, "fewer judges"},
		"bad below":     {func(r *tasting.Rule) { r.Below = "shrug" }, "unknown choice"},
		"panel":         {func(r *tasting.Rule) { r.SmallestPanel = -1 }, "smallest panel"},
	} {
		r := good
		c.change(&r)
		require.ErrorContains(t, r.Check(taste), c.says, name)
		_, err := tasting.Tally(r, taste, plates(1), nil)
		require.Error(t, err, name)
	}
	require.NoError(t, good.Check(taste))
	require.ErrorContains(t, good.Check(nil), "at least one criterion")
	for name, c := range map[string]tasting.Criterion{
		"key":    {Name: "Taste", Weight: 1, Scale: tasting.Halves()},
		"weight": {Key: "taste", Weight: 0, Scale: tasting.Halves()},
		"ends":   {Key: "taste", Weight: 1, Scale: tasting.Own(500, 100, 100)},
		"steps":  {Key: "taste", Weight: 1, Scale: tasting.Own(0, 500, 300)},
		"span":   {Key: "taste", Weight: 1, Scale: tasting.Own(0, 200_000, 100)},
		"fixed":  {Key: "taste", Weight: 1, Scale: tasting.Scale{Kind: tasting.ScaleHedonic, Min: 0, Max: 900, Step: 100}},
		"kind":   {Key: "taste", Weight: 1, Scale: tasting.Scale{Kind: "stars", Min: 0, Max: 500, Step: 100}},
	} {
		require.Error(t, good.Check([]tasting.Criterion{c}), name)
	}
	require.ErrorContains(t, good.Check([]tasting.Criterion{taste[0], taste[0]}), "two criteria")
}

func TestScales(t *testing.T) {
	require.Len(t, tasting.Hedonic9().Scores(), len(tasting.HedonicWords()))
	require.Len(t, tasting.Halves().Scores(), 21)
	require.True(t, tasting.Halves().Valid(750))
	for _, p := range []tasting.Points{-50, 725, 1050} {
		require.False(t, tasting.Halves().Valid(p))
	}
	require.False(t, tasting.Hedonic9().Valid(0))
	require.False(t, tasting.Scale{}.Valid(0), "a scale that nobody chose holds no score")
}
