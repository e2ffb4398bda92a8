package tasting_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/tasting"
)

func TestDishAndCook(t *testing.T) {
	for name, c := range map[string]struct {
		plates     []tasting.Plate
		confounded bool
	}{
		"one cook for all":           {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 9}, {ID: 2, Dish: 2, Cook: 9}}, false},
		"each dish its own cook":     {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 8}, {ID: 2, Dish: 2, Cook: 9}}, true},
		"a dish by two cooks":        {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 8}, {ID: 2, Dish: 2, Cook: 9}, {ID: 3, Dish: 1, Cook: 9}}, false},
		"one dish":                   {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 8}}, false},
		"two of three by one cook":   {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 8}, {ID: 2, Dish: 2, Cook: 8}, {ID: 3, Dish: 3, Cook: 9}}, true},
		"the same dish on two dates": {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 8}, {ID: 2, Dish: 1, Cook: 8, Day: 1}}, false},
		"a third dish on its own":    {[]tasting.Plate{{ID: 1, Dish: 1, Cook: 8}, {ID: 2, Dish: 1, Cook: 9}, {ID: 3, Dish: 2, Cook: 9}, {ID: 4, Dish: 3, Cook: 7}}, true},
		"nothing":                    {nil, false},
	} {
		require.Equal(t, c.confounded, tasting.Confounded(c.plates), name)
		require.Equal(t, c.confounded, !tasting.Caution(c.plates).IsZero(), name)
	}
}
