package store

import (
	"context"

	"github.com/stretchr/testify/require"

	"fairladle/challenge"
	"fairladle/challenge/draw"
)

var background = context.Background()

// roll throws until every place of a draw is filled.
func (u inUse) roll(c challenge.Challenge, r challenge.Round) {
	for _, face := range []int{13, 4, 17, 9} {
		d, err := u.DrawState(u.t.Context(), r.ID)
		require.NoError(u.t, err)
		if d.State.Done {
			return
		}
		e := draw.Event{N: d.State.Next, Kind: draw.Rolled, Place: d.State.Place, Dice: []int{face}}
		require.NoError(u.t, u.DrawEvent(u.t.Context(), u.host, c.ID, r.ID, e))
	}
}
