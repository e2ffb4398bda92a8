package demo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"maps"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"fairladle/web/photo"
)

func mustLoad(t testing.TB) Scenario {
	t.Helper()
	s, err := Load()
	require.NoError(t, err)
	return s
}

func TestTheScenarioIsWhole(t *testing.T) {
	s := mustLoad(t)
	require.NotEmpty(t, s.Name)
	require.Equal(t, "Europe/London", s.Zone)
	require.Len(t, s.Judges, 5)
	main := s.Challenges[0]
	require.GreaterOrEqual(t, len(main.Entries), 46)

	stages := map[Stage]bool{}
	for _, c := range s.Challenges {
		stages[c.Stage] = true
		require.NotEmpty(t, c.Title)
		require.NotEmpty(t, c.Brief, c.Slug)
		require.NotEmpty(t, c.Rules, c.Slug)
		require.Less(t, c.Opens, c.Closes, c.Slug)
		sum := 0
		for _, k := range c.Criteria {
			sum += k.Weight
		}
		require.Equal(t, 100, sum, c.Slug)
	}
	for _, want := range Stages {
		require.True(t, stages[want], "no challenge in stage %s", want)
	}
}

func TestTimesFitTheStage(t *testing.T) {
	for _, c := range mustLoad(t).Challenges {
		switch c.Stage {
		case Draft:
			require.Positive(t, c.Opens)
			require.Empty(t, c.Entries)
		case Open:
			require.Negative(t, c.Opens)
			require.Positive(t, c.Closes)
			require.GreaterOrEqual(t, len(c.Entries), 8)
		default:
			require.Negative(t, c.Closes, c.Slug)
			require.GreaterOrEqual(t, len(c.Entries), 6)
		}
		require.Equal(t, c.Stage == Released, c.Release < 0, c.Slug)
		require.True(t, c.Release == 0 || c.Release > c.Closes)
		for i, e := range c.Entries {
			require.True(t, e.Sent > c.Opens && e.Sent < min(c.Closes, 0), "%s No. %d", c.Slug, e.Number)
			require.True(t, i == 0 || e.Sent > c.Entries[i-1].Sent, "%s No. %d", c.Slug, e.Number)
		}
	}
}

// sentTwice are the addresses that are meant to send more than one recipe.
var sentTwice = map[string]int{"selma.attwater@example.net": 2}

func TestAddressesAreExamples(t *testing.T) {
	s, seen := mustLoad(t), map[string]int{}
	example := regexp.MustCompile(`^[a-z][a-z.]*@example\.(org|net|com)$`)
	for _, p := range slices.Concat([]Person{s.Host, s.Cohost}, s.Readers, s.Judges) {
		require.Regexp(t, example, p.Email)
		seen[p.Email]++
	}
	for _, c := range s.Challenges {
		for _, e := range c.Entries {
			require.Regexp(t, example, e.Email)
			seen[e.Email]++
		}
	}
	for email, n := range seen {
		require.Equal(t, max(1, sentTwice[email]), n, email)
	}
}

// RFC 2606 and RFC 6761 set example.org, .net and .com aside. Nothing in the
// files may point anywhere else.
func TestNoOtherDomains(t *testing.T) {
	domain := regexp.MustCompile(`(?i)\b[a-z0-9-]+\.(org|net|com|co|uk|de|fr|it|io|info|eu|radio|fm)\b`)
	for _, c := range mustLoad(t).Challenges {
		for _, text := range []string{c.Brief, c.Rules} {
			require.Empty(t, domain.FindAllString(text, -1))
		}
		for _, e := range c.Entries {
			for _, d := range domain.FindAllString(e.Text, -1) {
				require.Regexp(t, `^example\.(org|net|com)$`, d, "%s No. %d", c.Slug, e.Number)
			}
		}
	}
}

func TestEntries(t *testing.T) {
	consents := []string{"considered", "filmed", "published", "credited", "contacted", "of-age"}
	odd := map[string]int{}
	for _, c := range mustLoad(t).Challenges {
		for _, e := range c.Entries {
			at := c.Slug + "/" + e.Slug
			require.Subset(t, consents, e.Consents, at)
			require.Contains(t, e.Consents, "considered", at)
			require.Contains(t, e.Consents, "of-age", at)
			require.Contains(t, []string{"own", "adapted", "family"}, e.Origin, at)
			require.Equal(t, e.Origin == "own", e.OriginOf == "", at)
			require.True(t, utf8.ValidString(e.Text), at)
			require.GreaterOrEqual(t, strings.Count(e.Text, "\n"), 1, at)
			require.True(t, c.Photos || e.Picture == "", at)
			if e.Picture != "" {
				require.Contains(t, Subjects, e.Picture, at)
			}
			if e.Odd != "" {
				odd[e.Odd]++
			}
		}
	}
	require.Equal(t, map[string]int{"no-recipe": 1, "link-only": 1}, odd)
}

func TestMarksPicksAndSheets(t *testing.T) {
	s := mustLoad(t)
	readers := []string{s.Cohost.Key}
	for _, p := range s.Readers {
		readers = append(readers, p.Key)
	}
	for _, c := range s.Challenges {
		seen := map[any]bool{}
		for _, m := range c.Marks {
			require.Contains(t, readers, m.Reader)
			require.Contains(t, []string{"keep", "maybe", "leave out"}, m.Verdict)
			require.False(t, seen[[2]any{m.Entry, m.Reader}], "%s: %s marks No. %d twice", c.Slug, m.Reader, m.Entry)
			seen[[2]any{m.Entry, m.Reader}] = true
		}
		plates := map[int]int{}
		for _, sheet := range c.Sheets {
			require.True(t, slices.ContainsFunc(s.Judges, func(p Person) bool { return p.Key == sheet.Judge }), sheet.Judge)
			require.NotEmpty(t, sheet.Comment)
			plates[sheet.Entry]++
		}
		after := slices.Index(Stages, c.Stage)
		require.Equal(t, after >= slices.Index(Stages, Pick), len(c.Picks) > 0, c.Slug)
		require.Equal(t, after >= slices.Index(Stages, Tasting), len(c.Sheets) > 0, c.Slug)
		if len(c.Sheets) == 0 {
			continue
		}
		require.Len(t, c.House, 1)
		want := map[int]int{0: plates[0]}
		for _, p := range c.Picks {
			want[p.Entry] = plates[0]
		}
		require.Equal(t, want, plates, "%s: as many sheets for each finalist as for the house dish", c.Slug)
		require.Equal(t, c.Stage == Released, plates[0] == len(s.Judges))
	}
}

func TestPicturesAreTheSameEveryTimeAndCleanWell(t *testing.T) {
	all := map[[32]byte]bool{}
	for _, subject := range Subjects {
		a, err := Entry{Slug: "one", Picture: subject}.Photo()
		require.NoError(t, err)
		again, err := Entry{Slug: "one", Picture: subject}.Photo()
		require.NoError(t, err)
		require.Equal(t, a, again)
		other, err := Entry{Slug: "two", Picture: subject}.Photo()
		require.NoError(t, err)
		all[sha256.Sum256(a)], all[sha256.Sum256(other)] = true, true
		p, err := photo.NewCleaner(1).Clean(context.Background(), bytes.NewReader(a))
		require.NoError(t, err)
		require.Equal(t, []int{900, 675}, []int{p.Width, p.Height})
	}
	require.Len(t, all, 2*len(Subjects))
	none, err := Entry{Slug: "none"}.Photo()
	require.NoError(t, err)
	require.Nil(t, none)
	_, err = Entry{Slug: "odd", Picture: "kettle"}.Photo()
	require.Error(t, err)
}

func TestDamagedFilesAreNamed(t *testing.T) {
	whole := func() fstest.MapFS {
		return fstest.MapFS{
			"community.json":         {Data: []byte(`{"challenges":[{"slug":"x","criteria":[{"name":"a","weight":100}]}]}`)},
			"challenges/x/brief.md":  {Data: []byte("b")},
			"challenges/x/rules.md":  {Data: []byte("r")},
			"challenges/x/marks.tsv": {Data: []byte("entry\treader\tmark\tnote\n1\tr\tkeep\t\n")},
			"entries/x/01-a.txt":     {Data: []byte("name: A\nemail: a@example.org\norigin: own\n---\nSoup\n")},
		}
	}
	s, err := load(whole())
	require.NoError(t, err)
	require.Equal(t, "Soup\n", s.Challenges[0].Entries[0].Text)
	for name, text := range map[string]string{
		"community.json":          "{",
		"challenges/x/marks.tsv":  "entry\treader\tmark\tnote\n9\tr\tkeep\t\n",
		"challenges/x/sheets.tsv": "plate\tjudge\tscores\tcomment\n1\tj\t7 7\tc\n",
		"challenges/x/picks.tsv":  "entry\treason\nhouse\tc\n",
		"entries/x/01-a.txt":      "name: A\nSoup",
		"entries/x/03-b.txt":      "name: A\nemail: a@example.org\norigin: own\n---\nSoup\n",
	} {
		files := whole()
		files[name] = &fstest.MapFile{Data: []byte(text)}
		_, err := load(files)
		require.ErrorContains(t, err, name[strings.LastIndex(name, "/")+1:], "%v", slices.Sorted(maps.Keys(files)))
	}
}
