package kitchen

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"fairladle/challenge/measure"
	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

const frittersText = "Fritters\n\nServes 4\n\n- 300 g flour\n- 2 eggs\n\n1. Mix flour and eggs.\n2. Deep-fry the fritters for 6 minutes.\n3. Bake at 180 C for 20 minutes."

// Twelve portions through a fryer that takes three at once are four batches of
// six minutes; through an oven shelf of four, three trays, which one oven of two
// shelves takes in two runs.
func TestWhatDoesNotFitBecomesBatches(t *testing.T) {
	k := NewKitchen([]Piece{{Name: "oven", Count: 1}, {Name: "oven shelf", Count: 2, Holds: 4}, {Name: "hob ring", Count: 2}, {Name: "deep fryer", Count: 1, Holds: 3}})
	s := Service{Dishes: []Dish{{Breakdown: recipe.Read(frittersText)}}, Portions: 12, Serve: six, Kitchen: k}
	sheet := mustPlan(t, s)
	fry, bake := rowOf(t, sheet, "0:c0.s1"), rowOf(t, sheet, "0:c0.s2")
	require.Equal(t, fryer, fry.Where)
	require.Equal(t, 4*6, fry.Minutes)
	require.Equal(t, 2*20, bake.Minutes)
}

func TestRoomInTheCold(t *testing.T) {
	text := "Set cream\n\nServes 4\n\n- 400 ml cream\n\n1. Whisk the cream.\n2. Chill in the fridge for 2 hours."
	s := Service{Portions: 6, Serve: six, Kitchen: NewKitchen([]Piece{{Name: "fridge", Count: 1, Holds: 6}, {Name: "oven", Count: 1}, {Name: "burner", Count: 2}})}
	for range 2 {
		s.Dishes = append(s.Dishes, Dish{Breakdown: recipe.Read(text)})
	}
	sheet := mustPlan(t, s)
	a, b := rowOf(t, sheet, "0:c0.s1"), rowOf(t, sheet, "1:c0.s1")
	require.Equal(t, fridge, a.Where)
	require.False(t, a.Start.Before(b.End()) && b.Start.Before(a.End()), "room for one of the two at a time")
	require.Contains(t, said(sheet.Blocks), "there is room for 6 portions in the fridge, and 12 are to be in it", "the first stays there until it is served")
	require.Contains(t, said(sheet.Helps), "Make more room in the cold")

	s.Kitchen = NewKitchen([]Piece{{Name: "fridge", Count: 1, Holds: 12}})
	require.Empty(t, mustPlan(t, s).Blocks)

	s.Kitchen = NewKitchen([]Piece{{Name: "fridge", Count: 1, Holds: 5}})
	require.Contains(t, said(mustPlan(t, s).Blocks), "room for 5 portions")
}

// Food that was made ahead is heated again on the hob soon before it is plated;
// how long it keeps is no work.
func TestReheating(t *testing.T) {
	d := Dish{Breakdown: recipe.Read("Ragout\n\nServes 4\n\n- 1 kg tomatoes\n- 2 onions\n\n1. Simmer the tomatoes and onions for 40 minutes.\n" +
		"2. Keeps three days in the fridge.\n3. Reheat the ragout for 10 minutes and serve.")}
	tasks := d.Derive(4)
	require.Nil(t, byID(tasks, "c0.s1"), "keeping is no task")
	simmer, heat := byID(tasks, "c0.s0"), byID(tasks, "c0.s2")
	require.True(t, simmer.Ahead)
	require.Equal(t, 3*24*60, simmer.Holds)
	require.Equal(t, burner, heat.Machine)
	require.Equal(t, recipe.Part, heat.Attended)
	require.Equal(t, holdHot, heat.Holds)
	require.False(t, heat.Ahead)
	sheet := mustPlan(t, Service{Dishes: []Dish{d}, Portions: 4, Serve: six, Kitchen: Kitchen{Burners: 2}})
	require.Less(t, rowOf(t, sheet, "0:c0.s0").Start.Day(), six.Day(), "the ragout is made ahead")
	require.LessOrEqual(t, rowOf(t, sheet, "0:plate").Start.Sub(rowOf(t, sheet, "0:c0.s2").End()), holdHot*time.Minute)
}

// Frying pans are counted beside the burners that they stand on.
func TestPansAreCounted(t *testing.T) {
	fry := func(name string) Dish {
		k := task("fry", 30)
		k.Machine, k.Text = burner, "Fry for 30 minutes."
		plate := task("plate", 2, "fry")
		plate.Kind = Plate
		return Dish{Name: name, Tasks: []Task{k, plate}}
	}
	s := Service{Dishes: []Dish{fry("A"), fry("B")}, Portions: 2, Serve: six, Cooks: []string{"Ana", "Bo"},
		Kitchen: NewKitchen([]Piece{{Name: "burner", Count: 4}, {Name: "frying pan", Count: 1}})}
	sheet := mustPlan(t, s)
	a, b := rowOf(t, sheet, "0:fry"), rowOf(t, sheet, "1:fry")
	require.False(t, a.Start.Before(b.End()) && b.Start.Before(a.End()))
}

// A step of several sentences is several tasks: the slices simmer by
// themselves, are coated by hand, and fry under an eye.
func TestSentencesBecomeTasks(t *testing.T) {
	d := Dish{Breakdown: recipe.Read("Schnitzel\n\nServes 4\n\n- 1 celeriac\n- 100 g flour\n- 2 eggs\n\nSimmer the celeriac in salt water for 20 minutes. Coat it in flour and egg. Fry 3 minutes per side.")}
	var got []string
	for _, k := range d.Derive(4) {
		if strings.HasPrefix(k.ID, "c0.s") {
			got = append(got, k.Name.String()+" "+duration(k.Minutes).String()+" "+k.Machine+" "+string(k.Attended))
		}
	}
	require.Equal(t, []string{"Start: Simmer the celeriac in salt water 4 min hob burner attended", "Simmer the celeriac in salt water 16 min hob burner part",
		"Coat it in flour and egg 3 min  attended", "Fry 3 minutes per side 6 min hob burner attended"}, got)
}

// Ice cream tempered in the fridge takes no burner; chocolate does.
func TestTempering(t *testing.T) {
	soft := Dish{Breakdown: recipe.Read("Ice\n\n- 1 l ice cream\n\n1. Temper in the fridge for 30 minutes before scooping.")}
	k := soft.Derive(4)
	require.Equal(t, fridge, k[2].Machine)
	require.Equal(t, recipe.Unattended, k[2].Attended)
	melted := Dish{Breakdown: recipe.Read("Bark\n\n- 200 g chocolate\n\n1. Temper the chocolate for 10 minutes.")}
	require.Equal(t, burner, melted.Derive(4)[1].Machine)
}

// A link to a task of another dish holds, and a circle through two dishes is
// said.
func TestFromDishToDish(t *testing.T) {
	s := roastAndGratin()
	s.Dishes[1].Tasks[0].After = []Link{{ID: "0:rest", Max: NoLimit}}
	sheet := mustPlan(t, s)
	require.False(t, rowOf(t, sheet, "1:slice").Start.Before(rowOf(t, sheet, "0:rest").End()))
	s.Dishes[0].Tasks[0].After = []Link{{ID: "1:bake", Max: NoLimit}}
	require.Contains(t, said(mustPlan(t, s).Blocks), "by way of another dish")
}

// After the last plate comes a photograph, then the way to the table.
func TestAfterThePlates(t *testing.T) {
	s := roastAndGratin()
	photo := PhotoTask(4, []string{"0:plate", "1:plate"})
	s.Extras = []Task{photo, CarryTask(2, []string{"x:photo"})}
	sheet := mustPlan(t, s)
	require.Zero(t, sheet.Late)
	require.Equal(t, "17:54", rowOf(t, sheet, "x:photo").Start.Format("15:04"))
	require.Equal(t, "17:58", rowOf(t, sheet, "x:carry").Start.Format("15:04"))
}

// There is time to make a delicate step again, wherever it stands.
func TestRoomToMakeItAgain(t *testing.T) {
	s := roastAndGratin()
	s.Dishes[1].Tasks[0].Delicate = true
	sheet := mustPlan(t, s)
	free := rowOf(t, sheet, "1:bake").Start.Sub(rowOf(t, sheet, "1:slice").End())
	require.GreaterOrEqual(t, free, 25*time.Minute)
}

// The checker finds what is wrong with a sheet: each of these breaks one rule.
func TestCheckFindsFaults(t *testing.T) {
	s := roastAndGratin()
	good := mustPlan(t, s)
	for says, spoil := range map[string]func(r *Row){
		"begins -30 minutes after": func(r *Row) { r.move("0:roast", -30) },
		"does":                     func(r *Row) { r.move("1:plate", -4) },
		"°C within":                func(r *Row) { r.move("1:bake", -10) },
		"after serving":            func(r *Row) { r.move("1:plate", 9) },
		"works at":                 func(r *Row) { r.move("0:season", -600) },
		"hands needed":             func(r *Row) { r.name("1:bake", "Ana") },
		"is no cook":               func(r *Row) { r.name("1:slice", "Zoe") },
		"is not on the sheet":      func(r *Row) { r.rename("0:rest") },
	} {
		bad := good
		bad.Rows = append([]Row(nil), good.Rows...)
		for i := range bad.Rows {
			spoil(&bad.Rows[i])
		}
		require.Contains(t, strings.Join(Check(s, bad, time.Time{}), "; "), says)
	}
	s.Kitchen.Ovens, s.Kitchen.Shelves = 1, 1
	s.Dishes[0].Tasks[1].OvenC = 180
	two := good
	two.Rows = append([]Row(nil), good.Rows...)
	for i := range two.Rows {
		two.Rows[i].at("0:roast", rowOf(t, good, "1:bake").Start)
		two.Rows[i].Where = strings.Replace(two.Rows[i].Where, "200", "180", 1)
	}
	require.Contains(t, strings.Join(Check(s, two, time.Time{}), "; "), "2 on oven")
}

func (r *Row) move(id string, minutes int) {
	if r.ID == id {
		r.Start = r.Start.Add(time.Duration(minutes) * time.Minute)
	}
}

func (r *Row) at(id string, start time.Time) {
	if r.ID == id {
		r.Start = start
	}
}

func (r *Row) name(id, who string) {
	if r.ID == id {
		r.Who = who
	}
}

func (r *Row) rename(id string) {
	if r.ID == id {
		r.ID = "gone"
	}
}

// What follows from the portions goes on following them under corrections; what
// was typed stays, and is named.
func TestCorrectionsFollowThePortions(t *testing.T) {
	d := Dish{Breakdown: recipe.Read(frittersText)}
	four, twelve := d.Derive(4), d.Derive(12)
	mine := cloneTasks(four)
	byID(mine, "plate").Minutes = 9
	byID(mine, "c0.s0").Name = wording.Name("Mix gently")
	out, kept := Rescale(mine, four, twelve)
	require.Equal(t, "Plate up Fritters", kept.String())
	require.Equal(t, 9, byID(out, "plate").Minutes)
	require.Equal(t, wording.Name("Mix gently"), byID(out, "c0.s0").Name)
	require.Equal(t, byID(twelve, "c0.prep").Minutes, byID(out, "c0.prep").Minutes)
	require.Equal(t, 3, byID(out, "c0.s1").Batches)
	same, none := Rescale(mine, four, four)
	require.Empty(t, none)
	require.Equal(t, mine, same)
}

// A pack of butter is 250 g and a box of eggs six (common practice, no source).
func TestPacks(t *testing.T) {
	dishes := []Dish{{Breakdown: recipe.Read("Cake\n\nServes 4\n\n- 260 g butter\n- 7 eggs\n- 1 tsp cumin\n- 2 aubergines\n- 500 ml milk\n- 1 cup plain flour\n\n1. Mix.")}}
	list := Shopping(dishes, 4)
	for name, want := range map[string]string{"butter": "2 × 250 g", "egg": "2 × 6", "cumin": "1 × 40 g", "milk": "1 × 1000 ml", "flour": "1 × 1000 g", "aubergine": ""} {
		p, ok := mustLine(t, list, name).Purchase()
		require.Equal(t, want != "", ok, name)
		if ok {
			require.Equal(t, want, p.String())
		}
	}
	require.Contains(t, list.Text(English), "(2 × 250 g)")
}

// However much is needed, the packs hold it, and one pack less would not.
func TestPacksHoldWhatIsNeeded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grams := rapid.IntRange(1, 9000).Draw(t, "grams")
		l := Line{Name: "butter", Totals: []Total{{Amount: measure.Exactly(measure.Fraction(int64(grams), 3)), Unit: "g"}}}
		p, ok := l.Purchase()
		require.True(t, ok)
		require.GreaterOrEqual(t, p.Packs*250*3, grams)
		require.Less(t, (p.Packs-1)*250*3, grams)
	})
}

// Two dishes that both want the only oven for the last half hour, at 170 and at
// 180 degrees: one of them waits, and one temperature for both would help.
func TestOneOvenForTwo(t *testing.T) {
	bake := func(name string, c int) Dish {
		k := waiting(task("bake", 30, "fill"), oven, c)
		k.Holds, k.HoldGuess = 15, true
		plate := task("plate", 4, "bake")
		plate.Kind = Plate
		return Dish{Name: name, Tasks: []Task{task("fill", 5), k, plate}}
	}
	s := Service{Dishes: []Dish{bake("Tart", 170), bake("Swede", 180)}, Portions: 4, Serve: six, Kitchen: Kitchen{Ovens: 1, Burners: 4}}
	sheet := mustPlan(t, s)
	require.Zero(t, sheet.Late)
	require.Contains(t, said(sheet.Blocks), "longer than it keeps its quality")
	require.Contains(t, said(sheet.Helps), "Bake at 180 °C what should bake at 170 °C: then nothing waits too long.")
	require.Contains(t, said(sheet.Helps), "One more oven")
	for k, task := range s.Dishes[0].Tasks {
		if task.Machine == oven {
			s.Dishes[0].Tasks[k].OvenC = 180
		}
	}
	require.Empty(t, mustPlan(t, s).Blocks, "and it does help")
}
