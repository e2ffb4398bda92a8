package shortlist_test

import (
	"fmt"

	"fairladle/challenge/shortlist"
)

func ExampleAllocate() {
	plan, err := shortlist.Allocate(shortlist.Request{
		Entries:  []int64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10},
		Readers:  []int64{71, 72, 73, 74, 75, 76},
		PerEntry: 3,
		Excluded: []shortlist.Pair{{Entry: 4, Reader: 72}},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, sentence := range plan.Words {
		fmt.Println(sentence)
	}
	// Output:
	// Each of the 6 readers has 5 recipes.
	// Every two readers share 2 recipes, so that strict and lenient ones can be told apart.
}
