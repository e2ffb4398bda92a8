package ballot_test

import (
	"fmt"

	"fairladle/challenge/ballot"
	"fairladle/challenge/wording"
)

func ExampleCounting() {
	name := func(dish int64) any {
		return map[int64]string{1: "the plum tart", 2: "the leek pie", 3: "the bean soup"}[dish]
	}
	votes := []ballot.Ballot{{1, 2, 3}, {1, 2, 3}, {2, 1, 3}, {3, 2, 1}, {3, 2}, {2}, {1, 3}}
	result, err := ballot.Counting(ballot.Runoff, []int64{1, 2, 3}, votes)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, sentence := range wording.English(result.Sentences(name)) {
		fmt.Println(sentence)
	}
	// Output:
	// The leek pie won the run-off.
	// Round 1: the bean soup drops out, level with others at the bottom, and preferred less often in direct comparison.
	// Round 2: the plum tart drops out, with the fewest votes.
}
