package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// What a recipe holds back is read from its words; common practice, no source.
var (
	keepWords = []string{"reserve", "reserving", "hold back", "keep back", "set aside", "save", "saving", "holding back", "setting aside", "keeping back"}
	partWords = []string{"half", "third", "quarter", "some", "few", "little", "rest", "remaining", "spoonful", "handful", "tbsp", "tablespoon", "tablespoons", "tsp",
		"cup", "ml", "g", "water", "piece", "pieces", "for"}
	backWords = []string{"reserved", "remaining", "rest of", "set-aside", "held-back", "kept back", "saved", "other half"}
)

// keepsBack is the sentence in which a text holds a part back for later, or "".
func keepsBack(text string) string {
	for _, s := range sentencesOf(text) {
		low := " " + strings.ToLower(s) + " "
		if slices.ContainsFunc(keepWords, func(w string) bool { return strings.Contains(low, " "+w+" ") }) &&
			slices.ContainsFunc(strings.Fields(strings.Trim(low, " .,;")), func(w string) bool { return slices.Contains(partWords, strings.Trim(w, ".,;")) }) {
			return s
		}
	}
	return ""
}

// takesBack tells whether a text uses what was held back in a sentence: it says
// so, and names something of it.
func takesBack(text, kept string) bool {
	low := strings.ToLower(text)
	if !slices.ContainsFunc(backWords, func(w string) bool { return strings.Contains(low, w) }) {
		return false
	}
	named := stems(kept)
	return slices.ContainsFunc(stems(text), func(w string) bool {
		return len(w) > 3 && slices.Contains(named, w) && w != "some" && w != "half" && !strings.HasPrefix(w, "reserv") && w != "remaining" && w != "with" && w != "then"
	})
}

// back makes a task that uses what was held back wait for the one that holds it
// back, where nothing else orders the two.
func (b *deriver) back() {
	for i, t := range b.tasks {
		kept := keepsBack(t.Text)
		if kept == "" {
			continue
		}
		for j := i + 1; j < len(b.tasks); j++ {
			if b.tasks[j].Text != t.Text && takesBack(b.tasks[j].Text, kept) && !b.waitsFor(b.tasks[j].ID, t.ID) && !b.waitsFor(t.ID, b.tasks[j].ID) {
				b.link(b.tasks[j].ID, t.ID)
			}
		}
	}
}

// waitsFor tells whether a task waits for another, directly or not.
func (b *deriver) waitsFor(task, other string) bool {
	seen := map[string]bool{}
	var visit func(id string) bool
	visit = func(id string) bool {
		if id == other {
			return true
		}
		i := b.index(id)
		if i < 0 || seen[id] {
			return false
		}
		seen[id] = true
		return slices.ContainsFunc(b.tasks[i].After, func(l Link) bool { return visit(l.ID) })
	}
	return visit(task)
}

// heldBack lists what task i holds back and until when, by the sheet: until the
// first task that takes it, else until plating.
func heldBack(dish string, tasks []Task, i int, r Row, d int, rows map[string]Row) []Hold {
	kept := keepsBack(tasks[i].Text)
	if kept == "" || tasks[i].Kind == Wait {
		return nil
	}
	until := time.Time{}
	for _, o := range tasks[i+1:] {
		if takesBack(o.Text, kept) || until.IsZero() && o.Kind == Plate {
			if u, ok := rows[fmt.Sprintf("%d:%s", d, o.ID)]; ok {
				until = u.Start
				if o.Kind != Plate {
					break
				}
			}
		}
	}
	where := placeCounter
	if until.Sub(r.End()) > counterMost*time.Minute {
		where = placeFridge
	}
	return []Hold{{Dish: dish, What: tasks[i].Name, Where: where, From: r.End(), Until: until, AtMost: NoLimit, Back: kept}}
}
