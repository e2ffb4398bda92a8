package ledger

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func storedLedger() ([]Leaf, []Hash) {
	leaves := make([]Leaf, 6)
	commitments := make([]Commitment, len(leaves))
	for i := range leaves {
		o := &Opening{Salt: Salt{byte(i)}, Body: []byte{'b', byte(i)}}
		leaves[i] = Leaf{Commitment: Commit(o.Salt, o.Body), Opening: o}
		commitments[i] = leaves[i].Commitment
	}
	return leaves, TreeOf(commitments).Stored()
}

func states(findings []Finding) string {
	out := ""
	for _, f := range findings {
		out += string(f.State[0])
	}
	return out
}

func TestCheckTellsWhichLeaf(t *testing.T) {
	for _, c := range []struct {
		name, want string
		change     func([]Leaf, *[]Hash)
	}{
		{"untouched", "hhhhhh", func([]Leaf, *[]Hash) {}},
		{"erased", "hhehhh", func(l []Leaf, _ *[]Hash) { l[2].Opening, l[2].Erased = nil, true }},
		{"erasure not on record", "hhthhh", func(l []Leaf, _ *[]Hash) { l[2].Opening = nil }},
		{"body changed", "hthhhh", func(l []Leaf, _ *[]Hash) { l[1].Opening.Body[1]++ }},
		{"salt changed", "hhhhht", func(l []Leaf, _ *[]Hash) { l[5].Opening.Salt[9]++ }},
		// The hashes above leaf 0 are stored with leaves 1 and 3.
		{"opening and commitment replaced", "tththh", func(l []Leaf, _ *[]Hash) {
			o := &Opening{Body: []byte("forged")}
			l[0] = Leaf{Commitment: Commit(o.Salt, o.Body), Opening: o}
		}},
		{"stored leaf hash changed", "hhhthh", func(_ []Leaf, s *[]Hash) { (*s)[StoredLeaf(3)][0]++ }},
		{"stored hash above changed", "hhhhht", func(_ []Leaf, s *[]Hash) { (*s)[StoredLeaf(5)+1][0]++ }},
		{"stored hashes cut", "hhhhht", func(_ []Leaf, s *[]Hash) { *s = (*s)[:StoredLeaf(5)] }},
		{"leaf dropped from the end", "hhhhht", func(_ []Leaf, s *[]Hash) { *s = append(*s, Hash{}) }},
	} {
		t.Run(c.name, func(t *testing.T) {
			leaves, stored := storedLedger()
			c.change(leaves, &stored)
			got, _ := Check(leaves, stored)
			require.Equal(t, c.want, states(got))
			for _, f := range got {
				require.Equal(t, f.State == Tampered, f.Detail != "")
			}
		})
	}
}

func TestCheckGivesRoot(t *testing.T) {
	leaves, stored := storedLedger()
	_, root := Check(leaves, stored)
	leaves[2].Opening, leaves[2].Erased = nil, true
	_, after := Check(leaves, stored)
	require.Equal(t, root, after, "erasing leaves the root as it was")
	_, none := Check(nil, nil)
	require.Equal(t, roots[0], none.String())
}
