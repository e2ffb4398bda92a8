package store

import (
	"context"

	"fairladle/challenge"
	"fairladle/challenge/recipe"
)

// A PublicRecipe is an entry's text on its public page. Addresses, telephone
// numbers and signatures in it are always masked; the entrant's own name is,
// unless the agreed credit spells it whole.
type PublicRecipe struct {
	Dish   PublicDish
	Recipe Recipe
	Cooked CookedPage // what the cook wrote, and the answer; empty where it may not be told
}

// PublicRecipe finds the page of an entry by its number. It refuses before the
// release and without the entrant's agreement alike, so that the answer says
// nothing about the entry.
func (db *DB) PublicRecipe(ctx context.Context, c challenge.Challenge, number int) (x PublicRecipe, err error) {
	err = db.read(ctx, func(q querier) error {
		d := disclosure{ctx: ctx, q: q, challenge: c, shows: c.Shows(challenge.Public, db.now())}
		ds, err := rows(ctx, q, scanDisclosed, disclosedSelect+`WHERE entry.challenge_id = ? AND entry.number = ?`, c.ID, number)
		if err != nil {
			return err
		}
		if len(ds) == 0 || !ds[0].public(d.shows.Credits).Recipe {
			return challenge.NotFound("There is no recipe at this address, or it is not public.")
		}
		x.Dish = ds[0].public(d.shows.Credits)
		if d.shows.Cooked {
			if x.Cooked, err = publicCooked(ctx, q, c, x.Dish.ID); err != nil {
				return err
			}
		}
		if x.Recipe, err = recipeOf(ctx, q, x.Dish.ID, 0, true); err != nil || !ds[0].namedInText(d.shows.Credits) {
			return err
		}
		return x.named(ctx, q)
	})
	return x, err
}

// named reads the text with the entrant's own name in it.
func (x *PublicRecipe) named(ctx context.Context, q querier) error {
	whole, err := recipeOf(ctx, q, x.Dish.ID, 0, false)
	if err != nil {
		return err
	}
	text, masks := recipe.Mask(whole.Text, nil)
	if text == whole.Text {
		x.Recipe = whole
		return nil
	}
	cs, err := corrections(ctx, q, x.Dish.ID, whole.Version)
	if err != nil {
		return err
	}
	if cs, err = shifted(cs, jsonText(masks), whole.Text, text); err != nil {
		return err
	}
	whole.Text, whole.Reading = text, recipe.Read(text)
	whole.Reading, whole.Orphaned = whole.Reading.Apply(text, cs)
	x.Recipe = whole
	return nil
}
