package kitchen

import (
	"context"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

var six = time.Date(2027, 1, 30, 18, 0, 0, 0, time.UTC)

// said writes sentences behind each other.
func said(list []wording.Sentence) string {
	var all []string
	for _, s := range list {
		all = append(all, s.String())
	}
	return strings.Join(all, " ")
}

// mustPlan plans, and checks the sheet without the planner.
func mustPlan(t require.TestingT, s Service) RunSheet {
	sheet, err := Plan(context.Background(), s)
	require.NoError(t, err)
	if len(sheet.Rows) > 0 {
		require.Empty(t, Check(s, sheet, time.Time{}))
	}
	return sheet
}

func task(id string, minutes int, after ...string) Task {
	t := Task{ID: id, Name: wording.Name(id), Kind: Cook, Minutes: minutes, Attended: recipe.Attended, Holds: NoLimit}
	for _, a := range after {
		t.After = append(t.After, Link{ID: a, Max: NoLimit})
	}
	return t
}

// waiting turns a task into one that needs no hands.
func waiting(t Task, machine string, ovenC int) Task {
	t.Kind, t.Attended, t.Machine, t.OvenC = Wait, recipe.Unattended, machine, ovenC
	return t
}

// roastAndGratin is a small dinner for one cook with one oven: a joint that
// roasts at 200 degrees and rests, and a gratin that bakes at 180.
func roastAndGratin() Service {
	plateA, plateB := task("plate", 4, "rest"), task("plate", 4, "bake")
	plateA.Kind, plateB.Kind = Plate, Plate
	rest := waiting(task("rest", 15, "roast"), "", 0)
	bake := waiting(task("bake", 45, "slice"), oven, 180)
	bake.Holds = 20
	return Service{
		Portions: 4, Serve: six, Cooks: []string{"Ana"}, Kitchen: Kitchen{Burners: 4, Ovens: 1},
		Dishes: []Dish{
			{Name: "Joint", Tasks: []Task{task("season", 10), waiting(task("roast", 60, "season"), oven, 200), rest, plateA}},
			{Name: "Gratin", Tasks: []Task{task("slice", 25), bake, plateB}},
		},
	}
}

// Worked by hand. The plates take 4 + 4 minutes and want ten minutes free
// before them. Both dishes go through one oven, which needs 15 minutes for
// another temperature. Gratin last: it leaves the oven at 17:42 (ten minutes
// before its plating at 17:52 or 17:56) so goes in at 16:57 or 17:01; the joint
// must leave the oven 15 minutes before that at 16:42 or 16:46 and went in at
// 15:42 or 15:46; the oven is turned on 15 minutes earlier, at 15:31 where the
// gratin is plated last, and seasoning fits into that quarter of an hour. Joint
// last: it rests 15 minutes and is free ten minutes before plating at 17:56, so
// it leaves the oven at 17:31, goes in at 16:31; the gratin would be out at
// 16:16 and wait over 20 minutes. So a cook who thinks it through starts at
// 15:31, 149 minutes before serving.
func TestDinnerByHand(t *testing.T) {
	sheet := mustPlan(t, roastAndGratin())
	require.True(t, sheet.Proved)
	require.Zero(t, sheet.Late)
	for _, w := range sheet.Wishes {
		if w.Name.String() == wishDay {
			require.Equal(t, 149, w.Minutes)
		}
	}
	at := map[string]string{}
	for _, r := range sheet.Rows {
		at[r.ID] = r.Start.Format("15:04")
	}
	require.Equal(t, "15:46", at["0:roast"])
	require.Equal(t, "17:01", at["1:bake"])
	require.Equal(t, "17:56", at["1:plate"])
	require.Equal(t, 10, sheet.Slack)
}

// An ice-cream base chills two hours or more, churns 15 to 20 minutes, hardens
// overnight and is tempered in the fridge for about half an hour before it is
// scooped (common practice, no source), so a service with it cannot begin on
// the day.
func TestIceCreamCannotBeginOnTheDay(t *testing.T) {
	harden := waiting(task("harden", 8*60, "churn"), "", 0)
	plate := task("scoop", 5, "temper")
	plate.Kind = Plate
	tasks := []Task{task("base", 20), waiting(task("chill", 120, "base"), "", 0), task("churn", 20, "chill"), harden,
		waiting(task("temper", 30, "harden"), "", 0), plate}
	for i := range 4 {
		tasks[i].Ahead = true
	}
	s := Service{Dishes: []Dish{{Name: "Ice cream", Tasks: tasks}}, Portions: 4, Serve: six}
	sheet := mustPlan(t, s)
	require.Zero(t, sheet.Late)
	for _, r := range sheet.Rows {
		if r.ID == "0:churn" {
			require.Less(t, r.Start.Day(), six.Day())
		}
	}
	s.Begin = six.Add(-11 * time.Hour)
	sheet = mustPlan(t, s)
	require.Positive(t, sheet.Late)
	require.NotEmpty(t, sheet.Blocks)
	require.Contains(t, said(sheet.Helps), "Start a day earlier: then it is on time.")
}

// The same from a text: overnight and hours of chilling are read, moved to the
// days before, and cannot be made up for on the day.
func TestIceCreamFromText(t *testing.T) {
	d := Dish{Name: "Ice cream", Breakdown: recipe.Read(`Brown bread ice cream

Serves 6

- 500 ml cream
- 150 g sugar
- 100 g brown breadcrumbs

1. Heat the cream and sugar for 5 minutes.
2. Chill the base for at least 2 hours.
3. Churn for 20 minutes.
4. Stir in the crumbs and freeze overnight.
5. Temper in the fridge for 30 minutes before scooping.`)}
	s := Service{Dishes: []Dish{d}, Portions: 6, Serve: six, Kitchen: Kitchen{Burners: 2}}
	sheet := mustPlan(t, s)
	require.Zero(t, sheet.Late)
	require.Less(t, sheet.Rows[0].Start.Day(), six.Day())
	require.Less(t, rowOf(t, sheet, "0:c0.s3a").Start.Day(), six.Day())
	require.Equal(t, six.Day(), rowOf(t, sheet, "0:c0.s4").Start.Day())
	s.Begin = time.Date(2027, 1, 30, 7, 0, 0, 0, time.UTC)
	sheet = mustPlan(t, s)
	require.Positive(t, sheet.Late)
	require.NotEmpty(t, sheet.Blocks)
}

func TestFromText(t *testing.T) {
	text := `Lemon chicken

Serves 4

- 600 g chicken thighs
- 2 onions, sliced
- 200 ml stock

1. Preheat the oven to 200 C.
2. Fry the onions for 10 minutes.
3. Lay the chicken on top, pour over the stock and bake for 40 minutes.
4. Meanwhile, wash and tear the parsley.`
	d := Dish{Breakdown: recipe.Read(text)}
	sheet := mustPlan(t, Service{Dishes: []Dish{d}, Portions: 4, Serve: six, Kitchen: Kitchen{Burners: 1, Ovens: 1}})
	require.Zero(t, sheet.Late)
	all := ""
	for _, r := range sheet.Rows {
		all += r.What.String() + " @" + r.Where + "\n"
	}
	require.Contains(t, all, "Turn the oven to 200 °C")
	require.Contains(t, all, "@oven, 200 °C")
	require.Contains(t, all, "@hob burner")
	require.NotContains(t, all, "Preheat")
	require.Equal(t, LocalRules, sheet.Cautions[0].Text.String())
	for _, r := range sheet.Rows {
		require.NotEmpty(t, r.Source, r.What)
	}
}

func TestInTheWay(t *testing.T) {
	plain := roastAndGratin()
	for name, c := range map[string]struct {
		change func(*Service)
		says   string
	}{
		"no oven":   {func(s *Service) { s.Kitchen.Ovens = 0 }, "the kitchen has none of: oven"},
		"no time":   {func(s *Service) { s.Begin = six.Add(-time.Hour) }, "The earliest"},
		"after":     {func(s *Service) { s.Begin = six.Add(time.Hour) }, "before the serving time"},
		"never":     {func(s *Service) { s.Serve = time.Time{} }, "Say when"},
		"circle":    {func(s *Service) { s.Dishes[0].Tasks[0].After = []Link{{ID: "plate", Max: NoLimit}} }, "circle"},
		"no steps":  {func(s *Service) { s.Dishes[0] = Dish{Name: "Idea"} }, "no steps"},
		"nothing":   {func(s *Service) { s.Dishes[0].Tasks[1].After[0].ID = "gone" }, "not there"},
		"too many":  {func(s *Service) { s.Dishes[0].Tasks = manyTasks(2001) }, "up to 2000"},
		"negative":  {func(s *Service) { s.Dishes[0].Tasks[0].Minutes = -4 }, "minutes"},
		"too long":  {func(s *Service) { s.Begin = six.Add(-2 * time.Hour); s.Dishes[0].Tasks[1].Minutes = 200 }, "takes 200 minutes, and there are only 120"},
		"no burner": {func(s *Service) { s.Kitchen.Burners = 0; s.Dishes[0].Tasks[0].Machine = burner }, "the kitchen has none of: hob burner"},
		"same name": {func(s *Service) { s.Dishes[0].Tasks[1].ID = "season" }, "two tasks"},
	} {
		s := plain
		s.Dishes = []Dish{{Name: "Joint", Tasks: append([]Task(nil), plain.Dishes[0].Tasks...)}, plain.Dishes[1]}
		s.Dishes[0].Tasks[1].After = append([]Link(nil), s.Dishes[0].Tasks[1].After...)
		c.change(&s)
		sheet := mustPlan(t, s)
		require.Contains(t, said(sheet.Blocks), c.says, name)
	}
}

func manyTasks(n int) []Task {
	var list []Task
	for i := range n {
		list = append(list, task(fmt.Sprint(i), 1))
	}
	return list
}

// A service of 1,900 tasks gets a clear answer, and soon.
func TestFarTooMuch(t *testing.T) {
	s := Service{Dishes: []Dish{{Name: "Everything", Tasks: manyTasks(1900)}}, Portions: 6, Serve: six, Kitchen: Kitchen{Burners: 4, Ovens: 1}}
	from := time.Now()
	sheet := mustPlan(t, s)
	require.Less(t, time.Since(from), 20*time.Second) // half a second where nothing else runs
	require.Empty(t, sheet.Rows)
	require.Contains(t, said(sheet.Blocks), "1900 minutes of hands; until serving there are 660")
}

// drawService makes two dishes of random tasks.
func drawService(t *rapid.T) Service {
	s := Service{Portions: 2, Serve: six, Cooks: []string{"Ana", "Bo"}[:rapid.IntRange(1, 2).Draw(t, "cooks")],
		Kitchen: Kitchen{Burners: rapid.IntRange(1, 3).Draw(t, "burners"), Ovens: rapid.IntRange(1, 2).Draw(t, "ovens")}, Steps: 4000}
	for d := range 2 {
		dish := Dish{Name: string(rune('A' + d))}
		n := rapid.IntRange(1, 5).Draw(t, "tasks")
		for i := range n {
			k := task(fmt.Sprint(i), rapid.IntRange(1, 40).Draw(t, "minutes"))
			switch rapid.IntRange(0, 3).Draw(t, "what") {
			case 0:
				k = waiting(k, oven, 160+20*rapid.IntRange(0, 2).Draw(t, "temperature"))
			case 1:
				k.Machine = burner
			case 2:
				k = waiting(k, "", 0)
			}
			if i > 0 {
				k.After = []Link{{ID: fmt.Sprint(rapid.IntRange(0, i-1).Draw(t, "after")), Max: NoLimit}}
			}
			if rapid.Bool().Draw(t, "hot") {
				k.Holds = rapid.IntRange(0, 30).Draw(t, "holds")
			}
			dish.Tasks = append(dish.Tasks, k)
		}
		plate := task("plate", 3, fmt.Sprint(n-1))
		plate.Kind = Plate
		dish.Tasks = append(dish.Tasks, plate)
		s.Dishes = append(s.Dishes, dish)
	}
	return s
}

func TestNothingIsLate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawService(t)
		sheet := mustPlan(t, s)
		require.NotEmpty(t, sheet.Rows)
		require.Zero(t, sheet.Late)
		require.Equal(t, sheet, mustPlan(t, s), "the same service has the same plan")
	})
}

// A recipe without any times still gets a plan, all of it marked as guessed.
func TestRecipeWithoutTimes(t *testing.T) {
	d := Dish{Breakdown: recipe.Read("Soup\n\n- 3 leeks\n- 1 l stock\n\n1. Slice the leeks.\n2. Sweat them in butter.\n3. Add the stock, simmer until soft and blend.")}
	sheet := mustPlan(t, Service{Dishes: []Dish{d}, Portions: 4, Serve: six, Kitchen: Kitchen{Burners: 2}})
	require.Zero(t, sheet.Late)
	for _, r := range sheet.Rows {
		require.True(t, r.Guess, r.What)
		require.NotEmpty(t, r.Source, r.What)
	}
}

// One more of anything never makes a proved plan worse.
func TestMoreEquipmentNeverHurts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawService(t)
		was := mustPlan(t, s)
		switch rapid.IntRange(0, 2).Draw(t, "more") {
		case 0:
			s.Kitchen.Burners++
		case 1:
			s.Kitchen.Ovens++
		default:
			s.Cooks = append([]string{"Cleo"}, s.Cooks...)
		}
		is := mustPlan(t, s)
		if !was.Proved || !is.Proved {
			return
		}
		for k := range was.Wishes {
			if is.Wishes[k].Minutes != was.Wishes[k].Minutes {
				require.Less(t, is.Wishes[k].Minutes, was.Wishes[k].Minutes, was.Wishes[k].Name.String())
				return
			}
		}
	})
}
