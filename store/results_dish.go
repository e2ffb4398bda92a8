package store

import (
	"database/sql"
	"regexp"
	"strings"

	"fairladle/challenge/recipe"
)

// A PublicDish is a dish on a public page. Credit is who is named as its
// author: empty unless that person agreed, and then as written there.
type PublicDish struct {
	ID        int64
	Number    int    // of an entry; 0 for a house dish
	Title     string // masked
	Cook      string // of a house dish
	Photo     string // address of the photo's file, empty without one
	Credit    string
	Recipe    bool // its text has a public page
	Withdrawn bool
}

// House says whether it is a house dish.
func (d PublicDish) House() bool { return d.Number == 0 }

// disclosed is a dish with what decides how much of it may be shown.
type disclosed struct {
	PublicDish
	name, credit        string
	published, credited bool
}

const disclosedSelect = `SELECT dish.id, COALESCE(entry.number, 0), dish.title, COALESCE(house_dish.cook, ''),
	COALESCE(entry.state, 'in') <> 'in', COALESCE(lower(hex(photo.sha256)), ''), COALESCE(entrant.name, ''), COALESCE(entrant.credit, ''),
	COALESCE((SELECT given FROM consent c WHERE c.dish_id = dish.id AND c.kind = 'published' ORDER BY c.id DESC LIMIT 1), 0),
	COALESCE((SELECT given FROM consent c WHERE c.dish_id = dish.id AND c.kind = 'credited' ORDER BY c.id DESC LIMIT 1), 0)
	FROM dish JOIN dish_version v ON v.dish_id = dish.id AND v.version = dish.version LEFT JOIN photo ON photo.id = v.photo_id
	LEFT JOIN house_dish ON house_dish.dish_id = dish.id LEFT JOIN entry ON entry.dish_id = dish.id
	LEFT JOIN entrant ON entrant.dish_id = dish.id `

func scanDisclosed(r *sql.Rows) (d disclosed, err error) {
	return d, r.Scan(&d.ID, &d.Number, &d.Title, &d.Cook, &d.Withdrawn, &d.Photo, &d.name, &d.credit, &d.published, &d.credited)
}

// public is the one place that decides what of a dish everyone sees. open says
// that names and texts may be shown at all by now.
func (d disclosed) public(open bool) PublicDish {
	p := d.PublicDish
	p.Recipe = open && !p.House() && d.published && !p.Withdrawn
	if !p.Recipe {
		p.Photo = ""
	}
	if open && d.credited && !p.Withdrawn {
		p.Credit = withoutAddress(d.credit)
	}
	if p.Withdrawn {
		p.Title = ""
	}
	return p
}

// namedInText says whether the agreed credit spells the entrant's whole name,
// so that the name may also stand in the recipe's own words.
func (d disclosed) namedInText(open bool) bool {
	credit := d.public(open).Credit
	return d.name != "" && strings.Contains(strings.ToLower(credit), strings.ToLower(d.name))
}

var mailAddress = regexp.MustCompile(`[^\s<>@]+@[^\s<>@]+\.[^\s<>@]+`)

// withoutAddress keeps a mail address that somebody typed into a credit off
// every public page.
func withoutAddress(credit string) string {
	return strings.TrimSpace(mailAddress.ReplaceAllString(credit, recipe.AddressMark))
}

// dishes finds dishes for public pages, in the order asked.
func (d disclosure) dishes(ids []int64) ([]PublicDish, error) {
	return d.where(`JOIN json_each(?) AS wanted ON wanted.value = dish.id ORDER BY wanted.key`, jsonText(ids))
}

func (d disclosure) where(condition string, args ...any) ([]PublicDish, error) {
	ds, err := rows(d.ctx, d.q, scanDisclosed, disclosedSelect+condition, args...)
	out := make([]PublicDish, len(ds))
	for i, x := range ds {
		out[i] = x.public(d.shows.Credits)
	}
	return out, err
}

// recipes are the entries that may be read in full.
func (d disclosure) recipes(x *Results) error {
	if !d.shows.Credits {
		return nil
	}
	all, err := d.where(`WHERE entry.challenge_id = ? AND entry.state = 'in' ORDER BY entry.number`, d.challenge.ID)
	for _, p := range all {
		if p.Recipe {
			x.Recipes = append(x.Recipes, p)
		}
	}
	return err
}
