package text

import (
	"cmp"
	"flag"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var write = flag.Bool("write", false, "sort de.tsv, drop its dead lines and list what lacks German")

var (
	verb   = regexp.MustCompile(`%(?:\[(\d)\])?[a-z]`)
	escape = strings.NewReplacer("\n", `\n`, "\t", `\t`)
)

// Every sentence that the sources say has a German one with the same
// placeholders, and German has none that nobody says.
//
//	go test ./web/text -run Sentences -args -write
func TestSentencesHaveGerman(t *testing.T) {
	said := sentences(t, "../..")
	de, wrong := read(german)
	require.True(t, *write || len(wrong) == 0, "run this test with -args -write, or mend: %v", wrong)
	var lacking, dead []string
	for s, at := range said {
		own, ok := de[s]
		if !ok {
			lacking = append(lacking, s)
			continue
		}
		require.Equal(t, named(s), named(own), "%s: %q and %q have different placeholders", at, s, own)
		require.Equal(t, places(s), places(own), "%s: %q and %q have different placeholders", at, s, own)
	}
	for s := range de {
		if _, ok := said[s]; !ok {
			dead = append(dead, s)
		}
	}
	if *write {
		rewrite(t, de, dead)
		slices.Sort(lacking)
		for _, s := range lacking {
			t.Logf("lacks German: %s", escape.Replace(s))
		}
		return
	}
	require.Empty(t, dead, "nobody says these sentences any more; run this test with -args -write")
	slices.Sort(lacking)
	require.Empty(t, lacking, "these sentences lack German in web/text/de.tsv (DEVELOPERS.md, A sentence):\n%s", strings.Join(lacking, "\n"))
}

// places are the arguments a text shows, by number, from 1.
func places(s string) []int {
	var out []int
	next := 1
	for _, m := range verb.FindAllStringSubmatch(strings.ReplaceAll(s, "%%", ""), -1) {
		if m[1] != "" {
			next = int(m[1][0] - '0')
		}
		out = append(out, next)
		next++
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// named are the placeholders of a letter, such as {name}.
func named(s string) []string {
	all := regexp.MustCompile(`\{[a-z]+\}`).FindAllString(s, -1)
	slices.Sort(all)
	return slices.Compact(all)
}

func rewrite(t *testing.T, de map[string]string, dead []string) {
	var lines []string
	for s, own := range de {
		if !slices.Contains(dead, s) {
			lines = append(lines, escape.Replace(s)+"\t"+escape.Replace(own)+"\n")
		}
	}
	slices.SortFunc(lines, func(a, b string) int {
		return cmp.Or(cmp.Compare(strings.ToLower(a), strings.ToLower(b)), cmp.Compare(a, b))
	})
	require.NoError(t, os.WriteFile("de.tsv", []byte(strings.Join(lines, "")), 0o644))
}

func TestPlaces(t *testing.T) {
	require.Equal(t, []int{1, 2}, places("%v of %v"))
	require.Equal(t, places("%v of %v"), places("%[2]v: %[1]v"))
	require.Empty(t, places("100 % and 5%%"))
}
