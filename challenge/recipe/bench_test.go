package recipe

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// The corpus benchmarks report what one core does; see "recipes/s" and "lines/s".

func BenchmarkReadCorpus(b *testing.B) {
	var texts []string
	size := 0
	for _, f := range corpusFiles(b) {
		texts = append(texts, mustRead(b, f))
		size += len(texts[len(texts)-1])
	}
	b.SetBytes(int64(size))
	b.ReportAllocs()
	for b.Loop() {
		for _, t := range texts {
			Read(t)
		}
	}
	b.ReportMetric(float64(len(texts))*float64(b.N)/b.Elapsed().Seconds(), "recipes/s")
}

func BenchmarkIngredientLines(b *testing.B) {
	var text strings.Builder
	n := 0
	for _, f := range corpusFiles(b) {
		for _, in := range Read(mustRead(b, f)).Ingredients() {
			if !in.FromProse {
				text.WriteString(in.Text + "\n")
				n++
			}
		}
	}
	r := &reader{lex: lexicon(), text: text.String(), low: lowASCII(text.String())}
	b.ReportAllocs()
	for b.Loop() {
		for s := 0; s < len(r.text); {
			e := s + strings.IndexByte(r.text[s:], '\n')
			r.ingredient(s, e)
			s = e + 1
		}
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "lines/s")
}

// One recipe in our own words, for lengths that the corpus does not have.
const longRecipe = `
## Dough

- 500 g strong flour, sifted
- 1 1/2 tsp fine salt
- 300-320 ml lukewarm water

1. Mix flour, salt and water for 2 to 3 minutes, then rest for half an hour.
2. Bake at 220°C (425°F) for 25 minutes until the crust is brown.
`

func BenchmarkReadLength(b *testing.B) {
	for _, n := range []int{1, 10, 100} {
		text := strings.Repeat(longRecipe, 5*n)
		b.Run(fmt.Sprint(n, "x"), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				Read(text)
			}
		})
	}
}

// Time grows with the length, also for the shapes that tempt a reader into
// going back: 25 times the text may take at most 200 times as long; a quadratic reader takes 625.
func TestReadIsLinear(t *testing.T) {
	for name, unit := range map[string]string{
		"recipe": longRecipe, "digits": "1 ", "fractions": "1/2 ", "brackets": "(", "links": "[a](", "stars": "**a** ",
		"commas": "a, ", "ands": "chopped and ", "colon": "a:\n", "bullets": "- salt\n", "dashes": "1-", "or": "or 1 ",
		"names": "Basil ", "signature": "Basil\n\n", "quotes": "> a\n", "tags": "<", "phones": "1 (", "at": "@a",
	} {
		short, long := strings.Repeat(unit, 2000/len(unit)), strings.Repeat(unit, 50000/len(unit))
		measure := func(text string) time.Duration {
			best := time.Hour
			for range 3 {
				start := time.Now()
				Read(text)
				Mask(text, []string{"Basil", "Anna Basil"})
				best = min(best, time.Since(start))
			}
			return best
		}
		a, z := measure(short), measure(long)
		for try := 0; z > 200*a+50*time.Millisecond; try++ {
			if try == 5 { // a busy machine may slow one measurement, hardly all
				t.Errorf("%s: %v for 2 kB, %v for 50 kB", name, a, z)
				break
			}
			z = min(z, measure(long))
		}
	}
}
