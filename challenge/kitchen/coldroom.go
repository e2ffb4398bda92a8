package kitchen

import (
	"slices"

	"fairladle/challenge/wording"
)

// coldRoom says when more waits in the fridge or the freezer than it holds. The
// scheduler counts what is being chilled; what stays there until it is used
// takes its room as well, and only a finished sheet tells how long that is.
func coldRoom(s Service, sheet *RunSheet) {
	held := Held(s, *sheet)
	for _, place := range []struct{ name, where string }{{fridge, placeFridge}, {freezer, placeFreezer}} {
		room := s.Kitchen.Others[place.name] * s.Kitchen.Sizes[place.name]
		in := slices.DeleteFunc(slices.Clone(held), func(h Hold) bool { return h.Where != place.where || h.Back != "" })
		if room == 0 {
			continue
		}
		for _, h := range in { // there is most in it when something has just come
			var with wording.List
			for _, o := range in {
				if !o.From.After(h.From) && o.Until.After(h.From) {
					with = append(with, o.What)
				}
			}
			if len(with)*s.Portions > room {
				sheet.Blocks = append(sheet.Blocks, wording.Of("At %v there is room for %v portions in the %v, and %v are to be in it: %v.",
					h.From.Format("15:04"), room, wording.Sentence{Text: place.name}, len(with)*s.Portions, with))
				sheet.Helps = append(sheet.Helps, wording.Of("Make more room in the cold, or find a second place for it."))
				break
			}
		}
	}
}
