package card_test

import (
	"bytes"
	"image/png"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"fairladle/web/card"
)

func TestCardIsAPictureOfItsWords(t *testing.T) {
	c := card.Card{Over: "Millrace Library", Title: "Stuffed leaves", Under: "Entries until Mon 16 Nov 2026, 20:00 WET", Foot: "Millrace Library", Run: []bool{true, true, false}}
	b, err := card.Draw(c)
	require.NoError(t, err)
	im, err := png.Decode(bytes.NewReader(b))
	require.NoError(t, err)
	require.Equal(t, card.Width, im.Bounds().Dx())
	require.Equal(t, card.Height, im.Bounds().Dy())
	r, g, bl, _ := im.At(96, 110).RGBA()
	require.Equal(t, []uint32{0x22, 0x60, 0x3a}, []uint32{r >> 8, g >> 8, bl >> 8}, "the first knot is done")
	require.Less(t, len(b), 100_000)
	again, err := card.Draw(c)
	require.NoError(t, err)
	require.Equal(t, b, again)
	if to := os.Getenv("CARD_TO"); to != "" { // to look at one
		require.NoError(t, os.WriteFile(to, b, 0o600))
	}
}

func TestCardChangesItsNameWithItsWords(t *testing.T) {
	a, b := card.Card{Title: "A"}, card.Card{Title: "A", Run: []bool{true}}
	require.NotEqual(t, a.Sum(), b.Sum())
	require.Equal(t, a.Sum(), card.Card{Title: "A"}.Sum())
}

// Nothing that a host or an entrant can type stops a card.
func TestAnyTitleCanBeDrawn(t *testing.T) {
	for _, title := range []string{"", " ", "\x00\x1b[31m", strings.Repeat("Donaudampfschifffahrt", 40), strings.Repeat("long words ", 100),
		"Борщ и вареники", "巻き寿司", "🥬 leaves", "a\nb\r\nc", "\u202eright to left"} {
		_, err := card.Draw(card.Card{Title: title, Under: title, Over: title, Foot: title, Run: make([]bool, 1)})
		require.NoError(t, err, "%q", title)
	}
}
