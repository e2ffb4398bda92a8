package kitchen

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/recipe"
	"fairladle/challenge/wording"
)

func TestExtras(t *testing.T) {
	s := roastAndGratin()
	s.Extras = []Task{ShopTask(60), CameraTask(15), FilmTask("0:roast", wording.Of("the joint goes in")), WashUpTask("1:slice", "1:plate", wording.Of("board and knife"), 5)}
	sheet := mustPlan(t, s)
	require.Zero(t, sheet.Late)
	shop, camera, film := rowOf(t, sheet, "x:shop"), rowOf(t, sheet, "x:camera"), rowOf(t, sheet, "x:film 0:roast")
	require.Less(t, shop.Start.Day(), six.Day())
	for _, r := range sheet.Rows {
		if r.ID != "" && r.Kind != Other {
			require.False(t, r.Start.Before(camera.End()), r.What)
		}
	}
	gap := rowOf(t, sheet, "0:roast").Start.Sub(film.End())
	require.True(t, gap >= 0 && gap <= cueWithin*time.Minute)
	wash := rowOf(t, sheet, "x:wash 1:slice")
	require.False(t, wash.Start.Before(rowOf(t, sheet, "1:slice").End()))
	require.False(t, wash.End().After(rowOf(t, sheet, "1:plate").Start))

	order := OrderDates(sheet, map[string]int{"truffle": 3, "quail": 2})
	require.Equal(t, "quail", order[0].Name)
	require.Equal(t, 3*24*time.Hour, sheet.Rows[0].Start.Sub(order[1].Until))
	require.Contains(t, sheet.Text(), "On the table at 18:00")
}

// RFC 5545: lines of at most 75 octets ending in CRLF (3.1), text escaped
// (3.3.11), UID and DTSTAMP in every event (3.6.1).
func TestCalendar(t *testing.T) {
	s := roastAndGratin()
	s.Dishes[0].Name = "Joint, with crème; and a rather long name that will not fit into one line of seventy-five octets"
	s.Extras = []Task{ShopTask(60)}
	sheet := mustPlan(t, s)
	var out bytes.Buffer
	require.NoError(t, sheet.WriteCalendar(&out, English, "service-1@example", six, OrderDates(sheet, map[string]int{"quail": 2})...))
	text := out.String()
	require.NotContains(t, strings.ReplaceAll(text, "\r\n", ""), "\n")
	for _, line := range strings.Split(text, "\r\n") {
		require.LessOrEqual(t, len(line), 75)
	}
	plain := strings.ReplaceAll(text, "\r\n ", "")
	require.Equal(t, 3, strings.Count(plain, "BEGIN:VEVENT"))
	require.Equal(t, 3, strings.Count(plain, "DTSTAMP:20270130T180000Z"))
	require.Contains(t, plain, "SUMMARY:Order: quail")
	require.Contains(t, plain, `Joint\, with crème\; and`)
	require.Contains(t, plain, "DTEND:20270130T180000Z")
}

func TestMorePortions(t *testing.T) {
	text := "Fritters\n\nServes 4\n\n- 2 onions, diced\n- 300 g flour\n\n1. Mix.\n2. Fry the fritters for 6 minutes.\n3. Bake at 180 C for 20 minutes."
	d := Dish{Breakdown: recipe.Read(text)}
	by := func(portions int) map[string]Task {
		m := map[string]Task{}
		for _, k := range d.Derive(portions) {
			m[k.ID] = k
		}
		return m
	}
	four, twenty := by(4), by(20)
	require.Greater(t, twenty["c0.prep"].Minutes, four["c0.prep"].Minutes)
	var fry, bake Task
	for _, k := range twenty {
		switch {
		case k.Machine == burner && k.Batches > 0:
			fry = k
		case k.Machine == oven:
			bake = k
		}
	}
	require.Equal(t, 5, fry.Batches)
	require.Equal(t, 5, bake.Loads)
	sheet := mustPlan(t, Service{Dishes: []Dish{d}, Portions: 20, Serve: six, Kitchen: Kitchen{Burners: 1, Ovens: 1}})
	require.Equal(t, 60, rowOf(t, sheet, "0:"+bake.ID).Minutes) // three runs of two trays
}

// Facts of the trade (common practice, no source): nuts started in cold oil
// take about ten minutes to 350 F, and a custard-like spread cooked to nappe
// needs constant stirring, so the cook stays.
func TestWhoStays(t *testing.T) {
	d := Dish{Breakdown: recipe.Read(`Spread

Serves 4

- 200 g nuts
- 4 egg yolks
- 200 ml milk

1. Put the nuts in cold oil and fry for about 10 minutes to 350 F.
2. Cook the yolks and milk for 8 minutes, stirring constantly, until it coats the spoon.
3. Chill for 2 hours.`)}
	for _, k := range d.Derive(4) {
		switch {
		case strings.Contains(k.Text, "yolks"):
			require.Equal(t, recipe.Attended, k.Attended)
			require.Equal(t, 8, k.Minutes)
		case strings.Contains(k.Text, "nuts"):
			require.Equal(t, burner, k.Machine)
			require.Equal(t, 10, k.Minutes)
		case k.ID == "c0.s2":
			require.Equal(t, recipe.Unattended, k.Attended)
			require.Equal(t, 120, k.Minutes)
		}
	}
}

// The cautions carry the figures of FDA Food Code 3-501.14 (cooling) and the
// FSIS page on deep frying, as pantry's table quotes them.
func TestCautions(t *testing.T) {
	d := Dish{Name: "Fritters", Breakdown: recipe.Read("Fritters\n\n- 2 eggs\n- 100 g rice\n\n1. Deep-fry for 5 minutes.\n2. Cool and hold for later.")}
	all := ""
	for _, c := range Cautions([]Dish{d}) {
		require.NotEmpty(t, c.Source)
		all += c.Text.String() + " | " + c.Source + "\n"
	}
	require.True(t, strings.HasPrefix(all, LocalRules))
	require.Contains(t, all, "FC-3-501.14")
	require.Contains(t, all, "FSIS-FRY")
	require.Contains(t, all, "egg")

	meat := Cautions([]Dish{{Name: "Pie", Breakdown: recipe.Read("Pie\n\n- 500 g chicken thighs\n- 300 g minced beef\n- 1 pork shoulder\n- 200 g cod\n- 1 l chicken stock\n\n1. Bake for 40 minutes at 180 C.")},
		{Name: "Broth", Breakdown: recipe.Read("Broth\n\n- 1 l chicken stock\n\n1. Boil.")}})
	inside := map[string]bool{}
	for _, c := range meat {
		if strings.HasPrefix(c.Text.Text, "Usual least temperature inside") {
			require.Equal(t, []string{"Pie"}, c.Dishes, "stock is no chicken")
			require.Equal(t, "FSIS-TEMP", c.Source)
			inside[c.Text.String()] = true
		}
	}
	// USDA FSIS, Safe Minimum Internal Temperature Chart.
	require.Equal(t, map[string]bool{
		"Usual least temperature inside poultry: 74 °C (165 °F), measured in the thickest part.":                                       true,
		"Usual least temperature inside minced meat: 71 °C (160 °F), measured in the thickest part.":                                   true,
		"Usual least temperature inside whole pieces of meat: 63 °C (145 °F), measured in the thickest part; then it rests 3 minutes.": true,
		"Usual least temperature inside fish: 63 °C (145 °F), measured in the thickest part.":                                          true,
	}, inside)

	says := AgainstTasters([]Dish{d, {Name: "Greens"}}, []Taster{{Name: "Bo", Allergens: []string{"egg"}}})
	require.Contains(t, says[0].Text.String(), "Bo declared egg")
	require.Contains(t, says[1].Text.String(), "Make Greens first")
	require.Contains(t, AgainstTasters([]Dish{d}, nil)[0].Text.String(), "does not mean not there")
}

func TestPrepList(t *testing.T) {
	a := Dish{Name: "A", Breakdown: recipe.Read("A\n\nServes 4\n\n- 1 onion, diced\n- 2 carrots\n\n1. Mix.")}
	b := Dish{Name: "B", Breakdown: recipe.Read("B\n\nServes 4\n\n- 2 onions, diced\n\n1. Mix.")}
	list := Preparation([]Dish{a, b}, 4)
	require.Len(t, list.Groups, 2)
	require.Len(t, list.Stations, 1)
	cut := list.Stations[0]
	require.Equal(t, "Cut", cut.Name)
	require.Len(t, cut.Jobs, 1)
	require.Equal(t, "3", cut.Jobs[0].Totals[0].String())
	require.Len(t, cut.Jobs[0].Parts, 2)
	require.Equal(t, 3, list.Bowls, "onion and carrots for A, onion for B")
}

// What is thawed goes into the refrigerator the evening before; what keeps for
// days is made on a day before, within the time that it keeps.
func TestTheDaysBefore(t *testing.T) {
	d := Dish{Name: "Prawns", Breakdown: recipe.Read(`Prawns with pepper sauce

Serves 4

For the sauce:
- 3 peppers, diced
- 100 ml oil

1. Simmer the peppers in the oil for 40 minutes; the sauce keeps for 3 days in the fridge.

For the prawns:
- 400 g frozen prawns, thawed

1. Fry the prawns for 4 minutes and serve with the sauce.`)}
	require.Len(t, d.Breakdown.Components, 2)
	sheet := mustPlan(t, Service{Dishes: []Dish{d}, Portions: 4, Serve: six, Kitchen: Kitchen{Burners: 2, Ovens: 1}})
	require.Zero(t, sheet.Late)
	thaw, sauce := rowOf(t, sheet, "0:c1.thaw"), rowOf(t, sheet, "0:c0.s0")
	require.Less(t, thaw.Start.Day(), six.Day())
	require.Less(t, sauce.Start.Day(), six.Day())
	require.LessOrEqual(t, six.Sub(sauce.End()), 3*24*time.Hour)
	all := ""
	for _, c := range sheet.Cautions {
		all += c.Source
	}
	require.Contains(t, all, "FC-3-501.13") // FDA Food Code, thawing
}

// On the night to 28 March 2027 Berlin loses an hour; nobody works at night even
// so, and every wait is as long as it says.
func TestClockChange(t *testing.T) {
	berlin, err := time.LoadLocation("Europe/Berlin")
	require.NoError(t, err)
	s := roastAndGratin()
	s.Serve = time.Date(2027, 3, 28, 12, 0, 0, 0, berlin)
	cure := waiting(task("cure", 16*60, "salt"), "", 0)
	salt := task("salt", 10)
	cure.Ahead, salt.Ahead = true, true
	s.Dishes[0].Tasks[0].After = []Link{{ID: "cure", Max: NoLimit}}
	s.Dishes[0].Tasks = append(s.Dishes[0].Tasks, salt, cure)
	sheet := mustPlan(t, s)
	require.Zero(t, sheet.Late)
	// Seasoning begins at 9:41 at the latest, which is 8:41 by the old clock; 16
	// hours before that is 16:41.
	require.Equal(t, "27 16", rowOf(t, sheet, "0:cure").Start.Format("2 15"))
	require.Equal(t, 16*time.Hour, rowOf(t, sheet, "0:cure").End().Sub(rowOf(t, sheet, "0:cure").Start))
}

func TestShelvesAreNoOvens(t *testing.T) {
	k := NewKitchen([]Piece{{Name: "oven", Count: 1}, {Name: "oven shelf", Count: 3, Holds: 6}, {Name: "hob ring", Count: 4}, {Name: "food processor", Count: 1}})
	require.Equal(t, 1, k.Ovens)
	require.Equal(t, 3, k.Shelves)
	require.Equal(t, 4, k.Burners)
	require.Equal(t, map[string]int{"food processor": 1}, k.Others)
	require.Equal(t, 2, NewKitchen([]Piece{{Name: "ovens", Count: 2}, {Name: "oven shelves", Count: 4}}).Shelves)
	require.Equal(t, map[string]int{"oven": 6}, k.Sizes)
	require.Equal(t, map[string]int{"deep fryer": 2}, NewKitchen([]Piece{{Name: "deep fryer", Count: 1, Holds: 3}, {Name: "fryer", Count: 1, Holds: 2}}).Sizes)
}
