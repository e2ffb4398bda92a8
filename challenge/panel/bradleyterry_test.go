package panel_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/challenge/panel"
)

// A. Agresti, Categorical Data Analysis, 2nd ed. 2002, p. 438: baseball 1987;
// data as in the R package BradleyTerry2.
func TestBaseball(t *testing.T) {
	a, err := panel.BradleyTerry([][]float64{
		{0, 7, 9, 7, 7, 9, 11}, {6, 0, 7, 5, 11, 9, 9}, {4, 6, 0, 7, 7, 8, 12}, {6, 8, 6, 0, 6, 7, 10},
		{6, 2, 6, 7, 0, 7, 12}, {4, 4, 5, 6, 6, 0, 6}, {2, 4, 1, 3, 1, 7, 0},
	})
	require.NoError(t, err)
	require.InDeltaSlice(t, []float64{1.5813558767, 1.4364084318, 1.2944851239, 1.2476178451, 1.1076977054, 0.6838527692, 0}, a.Log, 1e-9)
	require.InDeltaSlice(t, []float64{.3433, .3396, .3367, .3359, .3339, .3319, 0}, a.SE, 5e-5)
	require.InDeltaSlice(t, []float64{.2189180166, .1893789173, .1643217759, .1567981446, .1363246448, .0892279382, .0450305627}, a.Share, 1e-9)
	require.InDelta(t, 15.7365, a.Deviance, 5e-5)
	require.Equal(t, 15, a.DF)
	require.InDelta(t, 0.5361735502, 1/(1+math.Exp(a.Log[1]-a.Log[0])), 1e-9)
}

func TestNobodyIsInfinitelyGood(t *testing.T) {
	_, err := panel.BradleyTerry([][]float64{{0, 3, 2}, {0, 0, 1}, {0, 1, 0}})
	require.ErrorIs(t, err, panel.ErrUndefeated)
	_, err = panel.BradleyTerry([][]float64{{0}})
	require.ErrorIs(t, err, panel.ErrTooSmall)
}
