package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
	"fairladle/challenge/kitchen"
	"fairladle/challenge/recipe"
)

// planCommand prints the shopping list, the prep list and the run sheet of a
// service from recipe files, without a server.
func planCommand(ctx context.Context, args []string, out io.Writer) error {
	f := flags("plan", out)
	serve := f.String("serve", "", `when the plates are on the table, "2027-01-30 18:00"`)
	portions := f.Int("portions", 4, "portions of each dish")
	cooks := f.String("cooks", "Cook", "names of the cooks, with commas between")
	zone := f.String("zone", "", "time zone, such as Europe/Berlin; otherwise this computer's")
	begin := f.String("begin", "", "the earliest moment to start; otherwise three days before serving")
	have := f.String("have", "", "what is in the pantry, with commas between")
	burners := f.Int("burners", 4, "burners of the hob")
	ovens := f.Int("ovens", 1, "ovens")
	equipment := f.String("equipment", "", `other equipment, with how many there are and how many portions one takes at once: "deep fryer=1/3, frying pan=2, fridge=1/12"`)
	calendar := f.String("calendar", "", "also write a calendar file (.ics) to this name")
	names, err := parseMixed(f, args)
	if err != nil {
		return err
	}
	if len(names) == 0 || *serve == "" {
		return errors.New(`name recipes and a serving time: fairladle plan FILE... --serve "2027-01-30 18:00" --portions 6`)
	}
	if *portions < 1 || *portions > challenge.MaxPortions {
		return fmt.Errorf("--portions must be 1 to %d", challenge.MaxPortions)
	}
	s := kitchen.Service{Portions: *portions, Cooks: commaList(*cooks), Kitchen: homeKitchen(*burners, *ovens)}
	if s.Kitchen, err = withEquipment(s.Kitchen, *equipment); err != nil {
		return fmt.Errorf("--equipment: %w", err)
	}
	if s.Serve, err = wallClock(*serve, *zone); err != nil {
		return fmt.Errorf("--serve: %w", err)
	}
	if *begin != "" {
		if s.Begin, err = wallClock(*begin, *zone); err != nil {
			return fmt.Errorf("--begin: %w", err)
		}
	}
	if s.Dishes, err = dishesIn(ctx, names); err != nil {
		return err
	}
	sheet, err := kitchen.Plan(ctx, s)
	if err != nil {
		return err
	}
	printService(out, s, sheet, commaList(*have))
	return writeCalendar(*calendar, sheet)
}

// homeKitchen is a usual home kitchen with other counts of burners and ovens.
func homeKitchen(burners, ovens int) kitchen.Kitchen {
	var pieces []kitchen.Piece
	for _, e := range challenge.DefaultKitchen() {
		pieces = append(pieces, kitchen.Piece(e))
	}
	k := kitchen.NewKitchen(pieces)
	k.Burners, k.Ovens = burners, ovens
	return k
}

// withEquipment adds what --equipment names: "deep fryer=1/3".
func withEquipment(k kitchen.Kitchen, text string) (kitchen.Kitchen, error) {
	var pieces []kitchen.Piece
	for _, part := range commaList(text) {
		name, counts, ok := strings.Cut(part, "=")
		p := kitchen.Piece{Name: strings.TrimSpace(name), Count: 1}
		count, holds, sized := strings.Cut(counts, "/")
		var err error
		if ok {
			p.Count, err = strconv.Atoi(strings.TrimSpace(count))
		}
		if sized && err == nil {
			p.Holds, err = strconv.Atoi(strings.TrimSpace(holds))
		}
		if err != nil || p.Name == "" || p.Count < 0 || p.Holds < 0 {
			return k, fmt.Errorf(`%q is not a piece of equipment such as "deep fryer=1/3"`, part)
		}
		pieces = append(pieces, p)
	}
	return k.With(pieces), nil
}

// wallClock reads a day and time of a zone.
func wallClock(text, zone string) (time.Time, error) {
	loc := time.Local
	if zone != "" {
		var err error
		if loc, err = time.LoadLocation(zone); err != nil {
			return time.Time{}, fmt.Errorf("there is no time zone %q; name one such as Europe/Berlin", zone)
		}
	}
	t, err := time.ParseInLocation("2006-01-02 15:04", strings.Replace(text, "T", " ", 1), loc)
	if err != nil {
		return t, fmt.Errorf(`%q is not a day and time such as "2027-01-30 18:00"`, text)
	}
	return t, nil
}

func commaList(text string) (list []string) {
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			list = append(list, part)
		}
	}
	return list
}

// dishesIn reads every recipe of the files.
func dishesIn(ctx context.Context, names []string) (dishes []kitchen.Dish, err error) {
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		texts, err := recipeTexts(ctx, name, data)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		for _, text := range texts {
			dishes = append(dishes, kitchen.Dish{Breakdown: recipe.Read(text)})
		}
	}
	return dishes, nil
}

func printService(out io.Writer, s kitchen.Service, sheet kitchen.RunSheet, have []string) {
	list := kitchen.Shopping(s.Dishes, s.Portions)
	list.Strike(have)
	fmt.Fprintln(out, list.Text(kitchen.English))
	printPrep(out, kitchen.Preparation(s.Dishes, s.Portions))
	printHeld(out, kitchen.Held(s, sheet))
	fmt.Fprintln(out, "Run sheet")
	fmt.Fprint(out, sheet.Text())
}

func printPrep(out io.Writer, list kitchen.PrepList) {
	fmt.Fprintln(out, "Prep list")
	for _, s := range list.Stations {
		fmt.Fprintf(out, "\n%s\n", s.Name)
		for _, j := range s.Jobs {
			amount := kitchen.Line{Totals: j.Totals}.Amount()
			fmt.Fprintf(out, "- %s, %s%s\n", strings.TrimSpace(amount+" "+j.Food), j.Preparation, sharedBy(j))
		}
	}
	for _, g := range list.Groups {
		name := g.Dish
		if g.Component != "" {
			name += ", " + g.Component
		}
		fmt.Fprintf(out, "\n%s\n", name)
		for _, p := range g.Parts {
			p.Component = ""
			fmt.Fprintf(out, "- %s: %s\n", p.Name, p.Written(kitchen.English))
		}
	}
	fmt.Fprintf(out, "\nLay out\n- %d small containers for what is weighed and prepared\n", list.Bowls)
	for _, x := range list.Tools {
		fmt.Fprintf(out, "- %s: %s\n", x.Name, strings.Join(x.For, "; "))
	}
	fmt.Fprintln(out)
}

// printHeld says what waits where and how long.
func printHeld(out io.Writer, list []kitchen.Hold) {
	if len(list) == 0 {
		return
	}
	fmt.Fprintln(out, "Held")
	for _, h := range list {
		what := h.What.String()
		if h.Back != "" {
			what = "held back: " + h.Back
		}
		fmt.Fprintf(out, "- %s to %s %s: %s [%s]\n", h.From.Format("Mon 15:04"), h.Until.Format("Mon 15:04"), h.Where, what, h.Dish)
	}
	fmt.Fprintln(out)
}

// sharedBy says for whom a cutting job is, where it is for several.
func sharedBy(j kitchen.CutJob) string {
	if len(j.Parts) < 2 {
		return ""
	}
	var parts []string
	for _, p := range j.Parts {
		p.Preparation = ""
		parts = append(parts, strings.TrimSpace(p.Written(kitchen.English)+" for "+p.Dish))
	}
	return " (" + strings.Join(parts, "; ") + ")"
}

func writeCalendar(name string, sheet kitchen.RunSheet) error {
	if name == "" {
		return nil
	}
	file, err := os.Create(name)
	if err != nil {
		return err
	}
	return errors.Join(sheet.WriteCalendar(file, kitchen.English, "fairladle-plan", time.Now()), file.Close())
}
