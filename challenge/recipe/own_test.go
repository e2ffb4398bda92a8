package recipe

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/measure"
)

// The lines of own_lines.tsv are in our own words, so this score runs
// everywhere. SCORE=wrong lists what is wrong.
func TestOwnLines(t *testing.T) { ownLines(t, "own_lines.tsv", "- ") }

// odd_lines.tsv holds the ways of writing a line that trip a reader; a "\t" in it
// stands for a tab.
func TestOddLines(t *testing.T) { ownLines(t, "odd_lines.tsv", "") }

func ownLines(t *testing.T, file, bullet string) {
	var amount, name, prep score
	for _, f := range table(t, "testdata/"+file) {
		line := strings.ReplaceAll(f[0], `\t`, "\t")
		got := Read("# Test\n\n## Ingredients\n\n" + bullet + strings.TrimPrefix(line, "• ") + "\n").Ingredients()
		if bullet == "" && len(got) != 1 {
			t.Logf("%q\n   got %d ingredients", f[0], len(got))
			got = make([]Ingredient, 1)
		}
		require.NotEmpty(t, got, f[0])
		in := got[0]
		l := lineLabel{none: f[1] == "", unit: f[3], name: f[4], alt: append(f, "")[6]}
		if !l.none {
			var err error
			l.min, err = measure.ParseNumber(f[1])
			require.NoError(t, err)
			l.max, err = measure.ParseNumber(f[2])
			require.NoError(t, err)
		}
		a, n := l.amountRight(in), l.nameRight(in)
		p := f[5] == "" || strings.EqualFold(in.Preparation, f[5]) || in.Note == f[5]
		amount.add(a)
		name.add(n)
		prep.add(p)
		if os.Getenv("SCORE") == "wrong" && !(a && n && p) {
			t.Logf("%q\n   got %v | %s | %s | %s  note %q", line, in.Amount, in.Unit, in.Name, in.Preparation, in.Note)
		}
	}
	require.GreaterOrEqual(t, amount.share(), 0.99)
	require.GreaterOrEqual(t, name.share(), 0.98)
	require.GreaterOrEqual(t, prep.share(), 0.98)
	t.Logf("amount and unit %v, name %v, preparation %v", amount, name, prep)
}

// summary writes what the .want files of testdata/own hold.
func summary(b Breakdown) string {
	var out strings.Builder
	line := func(parts ...string) { out.WriteString(strings.TrimRight(strings.Join(parts, ""), " |") + "\n") }
	line("title ", b.Title)
	if !b.Yield.Servings.IsZero() {
		line("servings ", b.Yield.Servings.String())
	}
	for _, t := range b.Times {
		line("time ", t.Kind, " ", spanText(t.Minutes.Min, t.Minutes.Max))
	}
	all := b.Ingredients()
	for _, c := range b.Components {
		line("component ", c.Name)
		for _, in := range c.Ingredients {
			prep := in.Preparation
			if in.Optional {
				prep = "optional"
			}
			line(strings.ReplaceAll(in.Amount.String(), " ", " "), "|", in.Unit, "|", in.Name, "|", prep)
		}
		for _, s := range c.Steps {
			line(stepSummary(s, all))
		}
	}
	var names []string
	for _, a := range b.Allergens {
		if a.Level == "sure" {
			names = append(names, a.Name)
		}
	}
	slices.Sort(names)
	line("allergens ", strings.Join(names, " "))
	return out.String()
}

func stepSummary(s Step, all []Ingredient) string {
	var d, x, u []string
	for _, v := range s.Durations {
		d = append(d, spanText(v.MinMinutes, v.MaxMinutes))
	}
	for _, v := range s.Temperatures {
		x = append(x, fmt.Sprint(v.Kind, " ", v.Value, " ", v.Unit))
	}
	for _, i := range s.Uses {
		u = append(u, all[i].Name)
	}
	out := "step " + strings.Join(append(d, x...), ", ")
	if len(d)+len(x) > 0 && len(x) > 0 && len(d) > 0 {
		out = "step " + strings.Join(d, ", ") + " " + strings.Join(x, ", ")
	}
	if len(u) > 0 && len(x) == 0 {
		out += " uses " + strings.Join(u, "; ")
	}
	return strings.Join(strings.Fields(out), " ")
}

// The recipes of testdata/own are in our own words; each has what it should be
// read as beside it.
func TestOwnRecipes(t *testing.T) {
	files, err := filepath.Glob("testdata/own/*.want")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, f := range files {
		base := strings.TrimSuffix(f, ".want")
		text, err := os.ReadFile(base + ".md")
		if err != nil {
			text, err = os.ReadFile(base + ".txt")
		}
		require.NoError(t, err)
		b := Read(string(text))
		var lines, findings []string
		for l := range strings.SplitSeq(strings.TrimSpace(mustRead(t, f)), "\n") {
			if code, ok := strings.CutPrefix(l, "finding "); ok {
				findings = append(findings, code)
				continue
			}
			lines = append(lines, l)
		}
		require.Equal(t, strings.Join(lines, "\n")+"\n", summary(b), f)
		for _, code := range findings {
			require.True(t, hasFinding(b, code), "%s: %s", f, code)
		}
	}
}
