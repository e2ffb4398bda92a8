package web

import (
	"io"
	"maps"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/store"
	"fairladle/web/text"
	"fairladle/web/views"
)

func shoppingList(x store.Cooking) kitchen.ShoppingList {
	plan := x.Plan()
	list := kitchen.Shopping(plan.Dishes, plan.Portions)
	list.Strike(x.Service.Have)
	list.SetPrices(x.Service.Prices, x.Service.Currency)
	return list
}

func (s *Server) showShopping(w http.ResponseWriter, r *http.Request) error {
	_, p, r, err := s.plannedCooking(r, "/shopping", "Shopping list")
	if err != nil {
		return err
	}
	return s.ok(w, r, views.Shopping(shoppingPage(p)))
}

func shoppingPage(p views.KitchenPage) views.ShoppingPage {
	page := views.ShoppingPage{KitchenPage: p, List: shoppingList(p.X), OrderBy: kitchen.OrderDates(p.X.Sheet, p.X.Service.ToOrder())}
	page.Total, page.Missing = page.List.Cost()
	return page
}

// saveShopping keeps what is there already, prices and how long things take to
// arrive.
func (s *Server) saveShopping(w http.ResponseWriter, r *http.Request) error {
	d, p, r, err := s.plannedCooking(r, "/shopping", "Shopping list")
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = s.db.DecideService(r.Context(), d.actor, d.challenge.ID, p.X.Round.ID, number(r, "revision"), func(x store.Cooking, v *challenge.Service) error {
		return decideShopping(r, x, v)
	})
	if m, ok := refusals(err); ok {
		page := shoppingPage(p)
		page.Messages = m
		s.show(w, r, formStatus(err), views.Shopping(page))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, p.Base+"/shopping?said=saved")
}

func decideShopping(r *http.Request, x store.Cooking, v *challenge.Service) error {
	v.Currency = field(r, "currency")
	v.Have, v.Prices, v.Arrive = nil, maps.Clone(v.Prices), maps.Clone(v.Arrive)
	if v.Prices == nil {
		v.Prices = map[string]int{}
	}
	if v.Arrive == nil {
		v.Arrive = map[string]int{}
	}
	for i, l := range shoppingList(x).Lines {
		key := itoa(i)
		if field(r, "name-"+key) != strings.TrimSpace(l.Name) {
			return challenge.Refuse(challenge.Stale, "", "This list was changed elsewhere. Look at it again; nothing was saved.")
		}
		if ticked(r, "have-"+key) {
			v.Have = append(v.Have, l.Name)
		}
		if !r.PostForm.Has("price-" + key) {
			continue // the line is struck out and shows no fields
		}
		price, ok := hundredths(field(r, "price-"+key))
		if !ok {
			return challenge.Refuse(challenge.Invalid, "", "Write the price of “%v” as a number, such as 2.40.", l.Name)
		}
		set(v.Prices, l.Name, price)
		days := minutesOr0(r, "arrive-"+key)
		if days < 0 || days > 365 {
			return challenge.Refuse(challenge.Invalid, "", "Say in whole days how long “%v” takes to arrive.", l.Name)
		}
		set(v.Arrive, l.Name, days)
	}
	return nil
}

func set(m map[string]int, key string, value int) {
	if value == 0 {
		delete(m, key)
	} else {
		m[key] = value
	}
}

// hundredths reads a price, with a point or a comma; none is 0.
func hundredths(s string) (int, bool) {
	if s == "" {
		return 0, true
	}
	f, err := strconv.ParseFloat(strings.Replace(s, ",", ".", 1), 64)
	if err != nil || !(f >= 0 && f <= 1e6) {
		return 0, false
	}
	return int(f*100 + .5), true
}

func (s *Server) shoppingCSV(w http.ResponseWriter, r *http.Request) error {
	return s.shoppingFile(w, r, "csv", "text/csv; charset=utf-8", kitchen.ShoppingList.WriteCSV)
}

func (s *Server) shoppingText(w http.ResponseWriter, r *http.Request) error {
	return s.shoppingFile(w, r, "txt", "text/plain; charset=utf-8", func(l kitchen.ShoppingList, w io.Writer, say kitchen.Speaker) error {
		_, err := io.WriteString(w, l.Text(say))
		return err
	})
}

func (s *Server) shoppingFile(w http.ResponseWriter, r *http.Request, ending, kind string, write func(kitchen.ShoppingList, io.Writer, kitchen.Speaker) error) error {
	d, p, r, err := s.plannedCooking(r, "", "Shopping list")
	if err != nil {
		return err
	}
	attachment(w, d.challenge.Slug+"-shopping."+ending, kind)
	return write(shoppingList(p.X), w, text.From(r.Context()).Say)
}

func (s *Server) showPrep(w http.ResponseWriter, r *http.Request) error {
	_, p, r, err := s.plannedCooking(r, "/prep", "Prep list")
	if err != nil {
		return err
	}
	plan := p.X.Plan()
	return s.ok(w, r, views.Prep(views.PrepPage{KitchenPage: p, List: kitchen.Preparation(plan.Dishes, plan.Portions), Held: kitchen.Held(plan, p.X.Sheet)}))
}

// machines are what a task may be put on: the kitchen's own, and what tasks
// name already.
func machines(x store.Cooking, tables []views.TaskTable) []string {
	names := []string{"hob burner", "oven"}
	for name := range x.Plan().Kitchen.Others {
		names = append(names, name)
	}
	for _, t := range tables {
		for _, r := range t.Rows {
			if r.Machine != "" {
				names = append(names, r.Machine)
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}
