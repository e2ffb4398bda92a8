package kitchen

import (
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
)

// Every recipe of the corpus gets tasks without circles or loose ends, and two
// at a time they get a sheet that holds.
func TestCorpus(t *testing.T) {
	root := os.DirFS("../../../shared/corpus/recipes")
	var dishes []Dish
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(d.Name(), "_") {
			return err
		}
		text, err := fs.ReadFile(root, name)
		dishes = append(dishes, Dish{Breakdown: recipe.Read(string(text))})
		return err
	})
	if err != nil {
		t.Skip("the recipes are not there: ../shared/corpus")
	}
	require.Greater(t, len(dishes), 200)
	planned := 0
	for i := 0; i+1 < len(dishes); i += 2 {
		two := dishes[i : i+2]
		for _, d := range two {
			require.Empty(t, checkTasks(d.Title(), d.Derive(6)))
		}
		s := Service{Dishes: two, Portions: 6, Serve: six, Kitchen: Kitchen{Burners: 4, Ovens: 1}, Steps: 3000}
		sheet := mustPlan(t, s)
		require.True(t, len(sheet.Rows) > 0 || len(sheet.Blocks) > 0)
		if len(sheet.Rows) > 0 && sheet.Late == 0 {
			planned++
		} else {
			t.Log(two[0].Title(), "|", two[1].Title(), sheet.Late, sheet.Blocks, sheet.Helps)
		}
		Preparation(two, 6)
		require.NotNil(t, Shopping(two, 6).Lines)
	}
	t.Logf("%d of %d pairs planned in time", planned, len(dishes)/2)
	require.Greater(t, planned, len(dishes)/2*8/10)
}

func FuzzDerive(f *testing.F) {
	f.Add("Soup\n\nServes 4\n\nFor the stock:\n- 1 onion\n\n1. Make the stock.\n2. Meanwhile fry for 5 minutes.\n3. Chill overnight.")
	f.Add("For the a:\n- 1 b\n\n1. Mix the b.\n\nFor the b:\n- 2 a\n\n1. Mix the a and the b.")
	f.Fuzz(func(t *testing.T, text string) {
		d := Dish{Breakdown: recipe.Read(text)}
		require.Empty(t, checkTasks("dish", d.Derive(6)))
		Shopping([]Dish{d}, 7)
	})
}
