package ledger

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func testSlip(t testing.TB) Slip {
	t.Helper()
	_, priv := testKey(t)
	slip := Slip{Version: SlipVersion, Challenge: "Winter pies", Entry: 17, Salt: Salt{1, 2, 3}, Body: `{"entry":17,"text":"Leek & cheese pie"}`, Leaf: 2}
	leaves := []Commitment{{1}, {2}, slip.Commitment(), {4}, {5}}
	tree := TreeOf(leaves)
	var err error
	slip.Proof, err = tree.Inclusion(2)
	require.NoError(t, err)
	slip.Checkpoint, err = Checkpoint{Origin: "example.org/pies", Size: 5, Root: tree.Root()}.Sign(priv)
	require.NoError(t, err)
	return slip
}

func TestSlipHolds(t *testing.T) {
	pub, _ := testKey(t)
	slip := testSlip(t)
	text, err := slip.Encode()
	require.NoError(t, err)
	got, err := ParseSlip(text)
	require.NoError(t, err)
	require.Equal(t, slip, got)
	for _, c := range got.Verify(pub) {
		require.True(t, c.Holds, c.What+": "+c.Detail)
	}
	require.Len(t, got.Verify(pub), 2)
}

func TestSlipFindsEveryChange(t *testing.T) {
	pub, _ := testKey(t)
	for name, change := range map[string]func(*Slip){
		"salt":       func(s *Slip) { s.Salt[0]++ },
		"body":       func(s *Slip) { s.Body = strings.Replace(s.Body, "Leek", "Beet", 1) },
		"leaf":       func(s *Slip) { s.Leaf++ },
		"checkpoint": func(s *Slip) { s.Checkpoint = strings.Replace(s.Checkpoint, "\n5\n", "\n6\n", 1) },
		"no note":    func(s *Slip) { s.Checkpoint = "" },
		"proof":      func(s *Slip) { s.Proof[1][0]++ },
		"short":      func(s *Slip) { s.Proof = s.Proof[:1] },
	} {
		slip := testSlip(t)
		change(&slip)
		holds := true
		for _, c := range slip.Verify(pub) {
			holds = holds && c.Holds
		}
		require.False(t, holds, name)
	}
}

func TestSlipRefused(t *testing.T) {
	for _, text := range []string{"", "[]", `{"version":1}{}`, `{"version":2}`, `{"version":1,"more":1}`, `{"version":1,"salt":"xy"}`} {
		_, err := ParseSlip([]byte(text))
		require.ErrorIs(t, err, ErrSlip, text)
	}
	slip := testSlip(t)
	slip.Body = "\xff"
	_, err := slip.Encode()
	require.ErrorIs(t, err, ErrSlip)
}

func FuzzParseSlip(f *testing.F) {
	text, err := testSlip(f).Encode()
	require.NoError(f, err)
	f.Add(text)
	f.Add([]byte(`{"version":1}`))
	pub, _ := testKey(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		slip, err := ParseSlip(text)
		if err != nil {
			return
		}
		slip.Verify(pub)
		_, err = slip.Encode()
		require.NoError(t, err)
	})
}
