package store

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/season"
)

func TestSeasonQueriesUseAnIndex(t *testing.T) {
	b := openBench(t)
	b.requireNoScan(disclosedSelect+archiveRecipes, []any{`"rice"*`, "[1]", 60}, "recipes found")
	b.requireNoScan(peopleBehindSelect, []any{"[1,2]"}, "people behind entries")
	b.requireNoScan(ownSelect, []any{1}, "own entries")
	b.requireNoScan(archiveChallenges, []any{`"rice"*`}, "challenges found")
	b.requireNoScan(`SELECT challenge_id FROM season_challenge WHERE season_id = ? ORDER BY challenge_id`, []any{1}, "challenges of a season")
	b.requireNoScan(`SELECT id, title, about FROM theme WHERE challenge_id = ? ORDER BY id`, []any{1}, "themes")
}

// The index of challenges follows their words.
func TestChallengeSearchFollowsChanges(t *testing.T) {
	b := openBench(t)
	c := b.open()
	found := func(word string) []int64 {
		ids, err := rows(t.Context(), b.reads, scanID, archiveChallenges, fmt.Sprintf("%q*", word))
		require.NoError(t, err)
		return ids
	}
	require.Equal(t, []int64{c.ID}, found("leav"))
	s := c.Settings()
	s.Title, s.Brief, s.Reason = "Pickled things", "From gläserne jars.", "another theme"
	require.NoError(t, b.ChangeSettings(t.Context(), b.host, c.ID, c.SettingsVersion, s))
	require.Empty(t, found("leav"))
	require.Equal(t, []int64{c.ID}, found("glaserne"), "accents do not count")
}

func TestAChallengeIsInOneSeason(t *testing.T) {
	b := openBench(t)
	c := b.open()
	ctx := t.Context()
	first, err := b.NewSeason(ctx, b.host, "Winter table", []int64{c.ID})
	require.NoError(t, err)
	second, err := b.NewSeason(ctx, b.host, "Winter table", []int64{c.ID, 999})
	require.NoError(t, err)
	require.Equal(t, "winter-table-2", second)
	in, ok, err := b.SeasonOf(ctx, c.ID)
	require.NoError(t, err)
	require.True(t, ok)
	require.Equal(t, second, in.Slug)
	v, err := b.SeasonView(ctx, first)
	require.NoError(t, err)
	require.Empty(t, v.Challenges)
	in.Rule = season.Rule{Places: []int{3, 2, 1}}
	b.at = b.at.AddDate(0, 0, 1)
	require.NoError(t, b.SaveSeason(ctx, b.host, in, nil))
	v, err = b.SeasonView(ctx, second)
	require.NoError(t, err)
	require.Equal(t, []int{3, 2, 1}, v.Season.Rule.Places)
	require.True(t, v.Season.RuledAt.Equal(b.at), "the page tells when the rule was set last")
	require.Empty(t, v.Challenges)
}
