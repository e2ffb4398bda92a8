package recipe

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// steps.tsv holds ways in which people write times and temperatures, in our own
// words, with what is meant.
func TestStepWordings(t *testing.T) {
	for _, f := range table(t, "testdata/steps.tsv") {
		b := Read("# Roast\n\n## Ingredients\n\n- 1 kg beef\n\n## Method\n\n1. " + f[0] + "\n")
		var times, heat []string
		for _, s := range b.Steps() {
			for _, d := range s.Durations {
				times = append(times, spanText(d.MinMinutes, d.MaxMinutes))
			}
			for _, x := range s.Temperatures {
				heat = append(heat, strings.TrimSpace(fmt.Sprint(x.Kind, " ", x.Value, " ", x.Unit)))
			}
		}
		require.Equal(t, f[1], strings.Join(times, ","), f[0])
		require.Equal(t, f[2], strings.Join(heat, ","), f[0])
	}
}
