package ballot_test

import (
	"encoding/json"
	"math/big"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/ballot"
)

func groups(text string) [][]int64 {
	var order [][]int64
	group := []int64{}
	for _, l := range text + ">" {
		if l == '>' {
			order = append(order, group)
			group = nil
		} else {
			group = append(group, int64(l))
		}
	}
	return order
}

func mustDecide(t require.TestingT, f ballot.FinalRule, judges, audience string) ballot.Final {
	final, err := ballot.Decide(f, groups(judges), groups(audience))
	require.NoError(t, err)
	return final
}

// weighted gives the audience a share, and what is level to the judges.
func weighted(share int) ballot.FinalRule {
	return ballot.FinalRule{Say: ballot.SayWeighted, Audience: share, Level: ballot.SayJudges}
}

func inOrder(f ballot.Final) string { return order(ballot.Result{Order: f.Order}) }

func TestWhoHasASay(t *testing.T) {
	require.Equal(t, "A>B>C", inOrder(mustDecide(t, ballot.FinalRule{Say: ballot.SayJudges}, "A>B>C", "C>A")))
	require.Equal(t, "C>A>B", inOrder(mustDecide(t, ballot.FinalRule{Say: ballot.SayAudience}, "A>B>C", "C>A")))

	// Judges 1, 1/2, 0; audience 0, 1, 1/2; a third for the audience would be
	// 2/3, 2/3, 1/6.
	f := mustDecide(t, weighted(40), "A>B>C", "B>C>A")
	require.Equal(t, "B>A>C", inOrder(f))
	require.Equal(t, big.NewRat(7, 10), f.Standings[0].Score)
	require.Equal(t, big.NewRat(6, 10), f.Standings[1].Score)
	require.Equal(t, big.NewRat(2, 10), f.Standings[2].Score)
}

func TestLevelInTheEnd(t *testing.T) {
	half := weighted(50)
	require.Equal(t, "A>B", inOrder(mustDecide(t, half, "A>B", "B>A")))
	half.Level = ballot.SayAudience
	require.Equal(t, "B>A", inOrder(mustDecide(t, half, "A>B", "B>A")))
	require.Equal(t, "AB>C", inOrder(mustDecide(t, half, "AB>C", "AB>C")), "nobody parts them")
	require.Equal(t, "AB", inOrder(mustDecide(t, ballot.FinalRule{Say: ballot.SayAudience}, "A>B", "AB")), "the judges have no say")
}

func TestAVoteOnTheLastTwo(t *testing.T) {
	f := mustDecide(t, weighted(60), "A>C>B>D", "B>A")
	require.Equal(t, "B>A>C>D", inOrder(f))
	f = mustDecide(t, weighted(40), "A>B", "X>A>B")
	require.Equal(t, "A>X>B", inOrder(f), "the judges never tasted X")
}

func TestDecideRefuses(t *testing.T) {
	for _, f := range []ballot.FinalRule{{}, weighted(0), weighted(100), {Say: ballot.SayWeighted, Audience: 5}, {Say: ballot.SayJudges, Audience: 5}, {Say: ballot.SayWeighted, Audience: 5, Level: "dice"}} {
		require.Error(t, f.Check(), "%+v", f)
	}
	_, err := ballot.Decide(weighted(50), groups("A>B"), groups("C>D"))
	require.ErrorIs(t, err, ballot.ErrSides)
	_, err = ballot.Decide(ballot.FinalRule{Say: ballot.SayAudience}, groups("A>A"), groups("A"))
	require.ErrorIs(t, err, ballot.ErrSides)
}

// Where both sides have one order, that is the final one, whatever the weight;
// every option appears once.
func TestDecideKeepsWhatBothAgreeOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := options("ABCDE"[:rapid.IntRange(1, 5).Draw(t, "options")])
		var judges, audience [][]int64
		for _, x := range rapid.Permutation(o).Draw(t, "judges") {
			judges = append(judges, []int64{x})
		}
		f := weighted(rapid.IntRange(1, 99).Draw(t, "share"))
		final, err := ballot.Decide(f, judges, judges)
		require.NoError(t, err)
		require.Equal(t, judges, final.Order)
		for _, x := range rapid.Permutation(o).Draw(t, "audience") {
			audience = append(audience, []int64{x})
		}
		final, err = ballot.Decide(f, judges, audience)
		require.NoError(t, err)
		require.ElementsMatch(t, o, slices.Concat(final.Order...))
	})
}

func TestResultAsJSON(t *testing.T) {
	r := mustCount(t, ballot.Schulze, options("ABCDE"), schulze45)
	b, err := json.Marshal(r)
	require.NoError(t, err)
	var back ballot.Result
	require.NoError(t, json.Unmarshal(b, &back))
	require.Equal(t, r, back)
}
