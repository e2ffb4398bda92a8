package challenge

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"fairladle/challenge/kitchen"
	"fairladle/challenge/measure"
	"fairladle/challenge/wording"
)

// Plan is the service as the planner wants it, in its kitchen and the
// challenge's zone.
func (s Service) Plan(c Challenge, recipes []Written) kitchen.Service {
	zone, err := time.LoadLocation(c.Zone)
	if err != nil {
		zone = time.UTC
	}
	k := kitchen.Service{Portions: s.Portions, Serve: s.Serve.In(zone), Cooks: s.Cooks, Kitchen: kitchenOf(s.Equipment())}
	if !s.Begin.IsZero() {
		k.Begin = s.Begin.In(zone)
	}
	var plates []string
	there := map[string]bool{}
	for i, d := range s.Cooked() {
		dish := s.planned(d, recipes)
		for _, t := range dish.Derive(s.Portions) {
			full := fmt.Sprintf("%d:%s", i, t.ID)
			there[full] = true
			if slices.Contains(d.Film, t.ID) {
				k.Extras = append(k.Extras, kitchen.FilmTask(full, t.Name))
			}
			if slices.Contains(d.Wash, t.ID) {
				k.Extras = append(k.Extras, kitchen.WashUpTask(full, "", t.Name, washUp))
			}
			if t.Kind == kitchen.Plate {
				plates = append(plates, full)
			}
		}
		k.Dishes = append(k.Dishes, dish)
	}
	for _, d := range k.Dishes {
		for i, t := range d.Tasks {
			d.Tasks[i].After = slices.DeleteFunc(t.After, func(l kitchen.Link) bool {
				return strings.Contains(l.ID, ":") && !there[l.ID] // bought, or gone with an older version
			})
		}
	}
	k.Extras = append(k.Extras, s.around(plates)...)
	return k
}

// washUp is how many minutes washing up between two tasks takes; common
// practice, no source.
const washUp = 5

// around is the work before cooking and after plating.
func (s Service) around(plates []string) (tasks []kitchen.Task) {
	if s.Shop > 0 {
		tasks = append(tasks, kitchen.ShopTask(s.Shop))
	}
	if s.Camera > 0 {
		tasks = append(tasks, kitchen.CameraTask(s.Camera))
	}
	if s.Photo > 0 {
		tasks = append(tasks, kitchen.PhotoTask(s.Photo, plates))
		plates = []string{"x:photo"}
	}
	if s.Carry > 0 {
		tasks = append(tasks, kitchen.CarryTask(s.Carry, plates))
	}
	return tasks
}

// ToOrder is how many days each thing takes to arrive that is not there yet.
func (s Service) ToOrder() map[string]int {
	days := maps.Clone(s.Arrive)
	for _, name := range s.Have {
		delete(days, name)
	}
	return days
}

// Equipment is what the service is cooked with.
func (s Service) Equipment() []Equipment {
	if s.Kitchen != nil {
		return s.Kitchen
	}
	return s.home
}

// kitchenOf is a kitchen as the planner counts it.
func kitchenOf(list []Equipment) kitchen.Kitchen {
	var pieces []kitchen.Piece
	for _, e := range list {
		pieces = append(pieces, kitchen.Piece(e))
	}
	return kitchen.NewKitchen(pieces)
}

// planned is the dish for the planner. Corrected tasks of a component that is
// bought are left out here and stay in the service, so that it can be made
// again; times that only followed from the portions follow them still.
func (s Service) planned(d ServiceDish, recipes []Written) kitchen.Dish {
	k := d.written(recipes)
	k.Bought, k.Spare, k.Kitchen = d.Bought, d.Spare, kitchenOf(s.Equipment())
	if d.Tasks == nil {
		return k
	}
	k.Tasks, _ = s.rescaled(d, recipes)
	for i := range k.Tasks {
		k.Tasks[i].After = s.linked(k.Tasks[i].After)
	}
	for _, t := range d.Tasks {
		if slices.Contains(d.Bought, t.Component) {
			if left, err := kitchen.Remove(k.Tasks, t.ID); err == nil {
				k.Tasks = left
			}
		}
	}
	return k
}

// rescaled are a dish's corrected tasks for the portions of now; kept are those
// whose minutes the host typed for another number, by name.
func (s Service) rescaled(d ServiceDish, recipes []Written) (tasks []kitchen.Task, kept wording.List) {
	if d.For == 0 || d.For == s.Portions {
		return slices.Clone(d.Tasks), nil
	}
	dish := d.written(recipes)
	dish.Kitchen = kitchenOf(s.Equipment())
	return kitchen.Rescale(d.Tasks, dish.Derive(d.For), dish.Derive(s.Portions))
}

// Unscaled names the tasks of a dish whose minutes were typed for another
// number of portions; portions is that number, 0 where there are none.
func (s Service) Unscaled(recipes []Written, dish int64) (names wording.List, portions int) {
	i := s.dish(dish)
	if i < 0 || s.Dishes[i].Tasks == nil {
		return nil, 0
	}
	if _, names = s.rescaled(s.Dishes[i], recipes); len(names) == 0 {
		return nil, 0
	}
	return names, s.Dishes[i].For
}

func (d ServiceDish) written(recipes []Written) kitchen.Dish {
	i := slices.IndexFunc(recipes, d.is)
	if i < 0 {
		return kitchen.Dish{}
	}
	return kitchen.Dish{Name: recipes[i].Name, Breakdown: recipes[i].Reading, Serves: measure.Whole(int64(d.Serves))}
}
