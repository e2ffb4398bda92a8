package ballot_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/ballot"
	"fairladle/challenge/wording"
)

func TestSentences(t *testing.T) {
	letter := func(o int64) any { return "dish " + string(rune(o)) }
	r := mustCount(t, ballot.Runoff, options("MNCK"), append(many(1, ""), tennessee...))
	require.Equal(t, []string{
		"Dish K won the run-off.",
		"Round 1: dish C drops out, with the fewest votes.",
		"Round 2: dish N drops out, with the fewest votes.",
		"Round 3: dish M drops out, with the fewest votes.",
		"One ballot was blank.",
	}, wording.English(r.Sentences(letter)))

	r = mustCount(t, ballot.Runoff, options("ABCDE"), schulze45)
	require.Contains(t, wording.English(r.Sentences(letter)), "Round 2: dish B drops out, level with others at the bottom, and preferred less often in direct comparison.")

	r = mustCount(t, ballot.Approval, options("AB"), concat(many(3, "AB"), many(2, "B"), many(1, "AA")))
	require.Equal(t, []string{"Dish B won: 5 of 5 voters named it.", "One ballot could not be read as a vote."}, wording.English(r.Sentences(letter)))

	r = mustCount(t, ballot.OneChoice, options("ABC"), concat(many(2, "A"), many(2, "B"), many(2, "C")))
	require.Equal(t, []string{
		"Dish A, dish B and dish C are level in front.",
		"Votes cannot put dish A, dish B and dish C in order.",
	}, wording.English(r.Sentences(letter)))

	require.Equal(t, []string{"No vote was cast for anything on the list."}, mustCount(t, ballot.Schulze, options("AB"), nil).Words)
}

func TestChanceInWords(t *testing.T) {
	require.Equal(t, "12 voted for the one dish and 8 for the other. As if the voters were a random sample: if nobody really preferred either, a split at least this uneven would come up in about 50 of 100 votes, so the difference could well be chance.",
		ballot.Chance(8, 12).String())
	require.Contains(t, ballot.Chance(15, 5).String(), "in only about 41 of 1000 votes, so it is probably no accident")
	require.Contains(t, ballot.Chance(32, 12).String(), "in only about 1 of 273 votes")
	require.Contains(t, ballot.Chance(500, 100).String(), "1 of more than a million votes")
	require.Equal(t, "Nobody voted for either dish.", ballot.Chance(0, 0).String())
}

func TestSchulzeInWords(t *testing.T) {
	letter := func(o int64) any { return "dish " + string(rune(o)) }
	require.Equal(t, []string{"Dish N won: compared pair by pair, more voters put it above each of the others than below."},
		wording.English(mustCount(t, ballot.Schulze, options("MNCK"), tennessee).Sentences(letter)))
	require.Contains(t, wording.English(mustCount(t, ballot.Schulze, options("ABCDE"), schulze45).Sentences(letter))[0], "Dish E won. No dish beats all others")
}

func TestExhaustedBallotsAreTold(t *testing.T) {
	r := mustCount(t, ballot.Runoff, options("ABC"), concat(many(4, "A"), many(3, "B"), many(1, "C")))
	require.Contains(t, r.Words, "In the last round 1 of 8 ballots named none of the options left.")
}

func TestRulesInWords(t *testing.T) {
	for _, m := range ballot.Methods() {
		require.NotEmpty(t, m.Words())
	}
	require.Equal(t, "The audience counts 40 per cent and the judges 60: each side gives a dish the share of the other dishes that it places lower; where two are level, the judges decide.",
		ballot.FinalRule{Say: ballot.SayWeighted, Audience: 40, Level: ballot.SayJudges}.Words().String())
	require.Contains(t, ballot.FinalRule{Say: ballot.SayWeighted, Audience: 40, Level: ballot.SayAudience}.Words().String(), "where two are level, the audience decides")
	require.Contains(t, ballot.FinalRule{Say: ballot.SayJudges}.Words().String(), "judges decide")
	require.Equal(t, "The audience decides, and what its votes leave level stays level; the judges' verdict is announced beside it.",
		ballot.FinalRule{Say: ballot.SayAudience}.Words().String())
}
