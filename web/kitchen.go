package web

import (
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

// cooking is a page of the service of a cooking round: who is there, and what
// the store has.
func (s *Server) cooking(r *http.Request, here, title string) (desk, views.KitchenPage, *http.Request, error) {
	var p views.KitchenPage
	d, r, err := s.desk(r, challenge.RunRound)
	if err != nil {
		return d, p, r, err
	}
	round, err := d.round(r, challenge.Cook)
	if err != nil {
		return d, p, r, err
	}
	if p.X, err = s.db.Cooking(r.Context(), d.actor, d.challenge.ID, round.ID); err != nil {
		return d, p, r, err
	}
	p.Frame, p.Base, p.Here, p.Open = s.deskFrame(r, d, text.T(r.Context(), title)), d.base+roundPath(round), here, p.X.Open()
	p.Frame.Said = said(r)
	return d, p, r, nil
}

// plannedCooking is a page that needs a plan.
func (s *Server) plannedCooking(r *http.Request, here, title string) (desk, views.KitchenPage, *http.Request, error) {
	d, p, r, err := s.cooking(r, here, title)
	if err == nil && p.X.Revision == 0 {
		err = challenge.NotFound("There is no plan yet. Say on the cooking page when to serve.")
	}
	return d, p, r, err
}

// serviceForm is the form as the service stands.
func serviceForm(x store.Cooking) views.ServiceForm {
	f := views.ServiceForm{Revision: x.Revision, Portions: itoa(x.Service.Portions), Cooks: strings.Join(x.Service.Cooks, "\n"),
		Shop: itoa(x.Service.Shop), Camera: itoa(x.Service.Camera), Photo: itoa(x.Service.Photo), Carry: itoa(x.Service.Carry),
		Kitchen: x.Service.Equipment(), KitchenOwn: x.Service.Kitchen != nil}
	if !x.Service.Serve.IsZero() {
		f.Serve = x.Plan().Serve.Format(localTime)
	}
	for _, t := range x.Service.Tasters {
		f.Tasters += t.Name + ": " + strings.Join(t.Allergens, ", ") + "\n"
	}
	for i, d := range x.Service.Dishes {
		w := writtenOf(x, d.Dish)
		line := views.ServiceDishForm{ID: d.Dish, Name: w.Name, On: !d.Out, Says: w.Reading.Yield.Text}
		if d.Serves > 0 {
			line.Serves = itoa(d.Serves)
		}
		line.Parts = serviceParts(w, x.Service.Dishes[i])
		f.Dishes = append(f.Dishes, line)
	}
	return f
}

func writtenOf(x store.Cooking, dish int64) challenge.Written {
	for _, w := range x.Recipes {
		if w.Dish == dish {
			return w
		}
	}
	return challenge.Written{}
}

// serviceParts are the named components of a dish that has several.
func serviceParts(w challenge.Written, d challenge.ServiceDish) (parts []views.ServicePart) {
	if len(w.Reading.Components) < 2 {
		return nil
	}
	for i, c := range w.Reading.Components {
		if c.Name == "" {
			continue
		}
		part := views.ServicePart{Index: i, Name: c.Name}
		for _, b := range d.Bought {
			part.Bought = part.Bought || b == i
		}
		for _, b := range d.Spare {
			part.Spare = part.Spare || b == i
		}
		parts = append(parts, part)
	}
	return parts
}

// saveService takes the serving time, cooks, portions and dishes, and plans.
func (s *Server) saveService(w http.ResponseWriter, r *http.Request) error {
	d, p, r, err := s.cooking(r, "", "Cooking")
	if err != nil {
		return err
	}
	if err := parse(r); err != nil {
		return err
	}
	err = s.db.DecideService(r.Context(), d.actor, d.challenge.ID, p.X.Round.ID, number(r, "revision"), func(x store.Cooking, v *challenge.Service) error {
		return decideService(r, x, v)
	})
	if m, ok := refusals(err); ok {
		page, pageErr := s.cookPage(r, d)
		if pageErr != nil {
			return pageErr
		}
		page.Service = typedService(r, page.Kitchen.X)
		page.Service.Messages = m
		s.show(w, r, formStatus(err), views.Cook(page))
		return nil
	}
	if err != nil {
		return err
	}
	return to(w, r, p.Base+"?said=planned")
}

// decideService writes the form over the service.
func decideService(r *http.Request, x store.Cooking, v *challenge.Service) error {
	v.Serve = moment(r, "serve", x.Challenge.Zone)
	v.Portions, v.Shop, v.Camera = number(r, "portions"), minutesOr0(r, "shop"), minutesOr0(r, "camera")
	v.Photo, v.Carry = minutesOr0(r, "photo"), minutesOr0(r, "carry")
	decideKitchen(r, x, v)
	v.Cooks = textLines(field(r, "cooks"))
	for i := range v.Dishes {
		dish := &v.Dishes[i]
		key := strconv.FormatInt(dish.Dish, 10)
		dish.Out, dish.Serves = !ticked(r, "on-"+key), minutesOr0(r, "serves-"+key)
		dish.Bought, dish.Spare = nil, nil
		for _, part := range serviceParts(writtenOf(x, dish.Dish), *dish) {
			if ticked(r, "bought-"+key+"-"+itoa(part.Index)) {
				dish.Bought = append(dish.Bought, part.Index)
			}
			if ticked(r, "spare-"+key+"-"+itoa(part.Index)) {
				dish.Spare = append(dish.Spare, part.Index)
			}
		}
	}
	tasters, err := challenge.ReadTasters(field(r, "tasters"))
	v.Tasters = tasters
	return err
}

// decideKitchen keeps the list of equipment where it differs from the
// challenge's.
func decideKitchen(r *http.Request, x store.Cooking, v *challenge.Service) {
	if !r.PostForm.Has("kitchen-name-0") {
		return
	}
	list := readKitchen(r)
	if v.Kitchen = list; len(list) == 0 || ticked(r, "kitchen-home") || slices.Equal(list, x.Challenge.Kitchen) {
		v.Kitchen = nil
	}
}

// typedService is the form as it was sent.
func typedService(r *http.Request, x store.Cooking) views.ServiceForm {
	_ = decideService(r, x, &x.Service) // what is wrong with it is said already
	f := serviceForm(x)
	f.Serve, f.Portions, f.Cooks, f.Tasters = field(r, "serve"), field(r, "portions"), r.PostFormValue("cooks"), r.PostFormValue("tasters")
	f.Shop, f.Camera, f.Photo, f.Carry = field(r, "shop"), field(r, "camera"), field(r, "photo"), field(r, "carry")
	for i := range f.Dishes {
		f.Dishes[i].Serves = field(r, "serves-"+strconv.FormatInt(f.Dishes[i].ID, 10))
	}
	if n := number(r, "revision"); n >= 0 {
		f.Revision = n
	}
	return f
}

// minutesOr0 is a whole number, 0 where the field is empty.
func minutesOr0(r *http.Request, name string) int {
	if field(r, name) == "" {
		return 0
	}
	return number(r, name)
}

// textLines are the lines of a text that hold anything.
func textLines(text string) (lines []string) {
	for l := range strings.Lines(text) {
		if l = strings.TrimSpace(l); l != "" {
			lines = append(lines, l)
		}
	}
	return lines
}

// showRunSheet is who does what when, with the chart and the cautions.
func (s *Server) showRunSheet(w http.ResponseWriter, r *http.Request) error {
	_, p, r, err := s.plannedCooking(r, "/sheet", "Run sheet")
	if err != nil {
		return err
	}
	p.Frame.Wide = false
	page := views.RunSheetPage{KitchenPage: p}
	plan := p.X.Plan()
	for _, dish := range plan.Dishes {
		page.Dishes = append(page.Dishes, dish.Title())
	}
	page.Days = views.NewSheetDays(text.From(r.Context()), p.X.Sheet, page.Dishes)
	if len(p.X.Service.Tasters) > 0 {
		page.Allergen = kitchen.AgainstTasters(plan.Dishes, p.X.Service.Tasters)
	}
	return s.ok(w, r, views.RunSheet(page))
}

// calendar is the run sheet as a file for a calendar.
func (s *Server) calendar(w http.ResponseWriter, r *http.Request) error {
	d, p, r, err := s.plannedCooking(r, "", "Run sheet")
	if err != nil {
		return err
	}
	attachment(w, d.challenge.Slug+"-service.ics", "text/calendar; charset=utf-8")
	return p.X.Sheet.WriteCalendar(w, text.From(r.Context()).Say, d.challenge.Slug+"-"+itoa(p.X.Round.Position), p.X.PlannedAt,
		kitchen.OrderDates(p.X.Sheet, p.X.Service.ToOrder())...)
}
