package ledger

import (
	"encoding/hex"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The eight leaves, their hashes and roots are those of the reference tests of
// RFC 6962 (google/certificate-transparency, merkle_tree_test.cc, and
// transparency-dev/merkle, testonly/constants.go); RFC 9162, section 2.1,
// defines the same tree.
var (
	leafData = strings.Split(" 00 10 2021 3031 40414243 5051525354555657 606162636465666768696a6b6c6d6e6f", " ")
	leafHash = []string{
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
		"0298d122906dcfc10892cb53a73992fc5b9f493ea4c9badb27b791b4127a7fe7",
		"07506a85fd9dd2f120eb694f86011e5bb4662e5c415a62917033d4a9624487e7",
		"bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
		"4271a26be0d8a84f0bd54c8c302e7cb3a3b5d1fa6780a40bcce2873477dab658",
		"b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f",
		"46f6ffadd3d06a09ff3c5860d2755c8b9819db7df44251788c7d8e3180de8eb1",
	}
	roots = []string{
		"e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
	node23 = "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e"
	node45 = "0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a"
	node67 = "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0"
	node47 = "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4"
)

func publishedTree(t *testing.T, n int) *Tree {
	t.Helper()
	tree := &Tree{}
	for _, d := range leafData[:n] {
		data, err := hex.DecodeString(d)
		require.NoError(t, err)
		tree.Add(data)
	}
	return tree
}

func hash(t *testing.T, text string) (h Hash) {
	t.Helper()
	require.NoError(t, h.UnmarshalText([]byte(text)))
	return h
}

func texts(p Proof) []string {
	out := []string{}
	for _, h := range p {
		out = append(out, h.String())
	}
	return out
}

func TestPublishedRoots(t *testing.T) {
	for n := range roots {
		require.Equal(t, roots[n], publishedTree(t, n).Root().String(), "%d leaves", n)
	}
	for i, d := range leafData {
		data, err := hex.DecodeString(d)
		require.NoError(t, err)
		require.Equal(t, leafHash[i], LeafHash(data).String())
	}
}

func TestPublishedInclusionProofs(t *testing.T) {
	for _, c := range []struct {
		leaf, size int
		proof      []string
	}{
		{0, 1, []string{}},
		{0, 8, []string{leafHash[1], node23, node47}},
		{5, 8, []string{leafHash[4], node67, roots[4]}},
		{2, 3, []string{roots[2]}},
		{1, 5, []string{leafHash[0], node23, leafHash[4]}},
	} {
		p, err := publishedTree(t, c.size).Inclusion(int64(c.leaf))
		require.NoError(t, err)
		require.Equal(t, c.proof, texts(p), "leaf %d of %d", c.leaf, c.size)
	}
}

func TestPublishedConsistencyProofs(t *testing.T) {
	for _, c := range []struct {
		from, to int
		proof    []string
	}{
		{1, 1, []string{}},
		{1, 8, []string{leafHash[1], node23, node47}},
		{6, 8, []string{node45, node67, roots[4]}},
		{2, 5, []string{node23, leafHash[4]}},
		{6, 7, []string{node45, leafHash[6], roots[4]}},
	} {
		p, err := publishedTree(t, c.to).Consistency(int64(c.from))
		require.NoError(t, err)
		require.Equal(t, c.proof, texts(p), "from %d to %d", c.from, c.to)
	}
}

// The shapes of the seven-leaf example in RFC 6962, section 2.1.3.
func TestShapesOfRFC6962Example(t *testing.T) {
	tree := publishedTree(t, 7)
	node := func(level, n int) string { return tree.Stored()[storedIndex(level, n)].String() }
	a, b, c, d := leafHash[0], leafHash[1], leafHash[2], leafHash[3]
	f, j := leafHash[5], leafHash[6]
	g, h, i, k := node(1, 0), node(1, 1), node(1, 2), node(2, 0)
	l := parent(t, i, j)
	require.Equal(t, g, parent(t, a, b))
	for leaf, want := range map[int64][]string{0: {b, h, l}, 3: {c, g, l}, 4: {f, j, k}, 6: {i, k}} {
		p, err := tree.Inclusion(leaf)
		require.NoError(t, err)
		require.Equal(t, want, texts(p), "PATH(%d)", leaf)
	}
	for from, want := range map[int64][]string{3: {c, d, g, l}, 4: {l}, 6: {i, j, k}} {
		p, err := tree.Consistency(from)
		require.NoError(t, err)
		require.Equal(t, want, texts(p), "PROOF(%d)", from)
	}
}

func storedIndex(level, n int) int64 {
	return StoredLeaf(int64((n+1)<<level-1)) + int64(level)
}

func parent(t *testing.T, left, right string) string {
	t.Helper()
	l, r := hash(t, left), hash(t, right)
	// RFC 9162, 2.1.1: a node is SHA-256(0x01 || left || right).
	return sha(append(append([]byte{1}, l[:]...), r[:]...)).String()
}

func TestRootAtEarlierSizes(t *testing.T) {
	tree := publishedTree(t, 8)
	require.Equal(t, int64(8), tree.Size())
	for n := range roots {
		root, err := tree.RootAt(int64(n))
		require.NoError(t, err)
		require.Equal(t, roots[n], root.String())
	}
	for _, n := range []int64{-1, 9} {
		_, err := tree.RootAt(n)
		require.ErrorIs(t, err, ErrRange)
	}
	_, err := Append(-1, Commitment{}, tree.read)
	require.ErrorIs(t, err, ErrRange)
	failing := errors.New("the disk is full")
	_, err = Root(8, func([]int64) ([]Hash, error) { return nil, failing })
	require.ErrorIs(t, err, failing)
	_, err = Root(8, func([]int64) ([]Hash, error) { return nil, nil })
	require.Error(t, err, "too few hashes came back")
}

func TestProofsRefused(t *testing.T) {
	tree := publishedTree(t, 8)
	root, leaf := tree.Root(), hash(t, leafHash[5])
	p, err := tree.Inclusion(5)
	require.NoError(t, err)
	require.NoError(t, VerifyInclusion(p, 8, root, 5, leaf))

	for name, err := range map[string]error{
		"wrong index":        VerifyInclusion(p, 8, root, 4, leaf),
		"wrong size":         VerifyInclusion(p, 4, root, 3, leaf),
		"size of a smaller":  VerifyInclusion(p, 7, root, 5, hash(t, leafHash[4])),
		"too long":           VerifyInclusion(append(Proof{}, append(p, root)...), 8, root, 5, leaf),
		"too short":          VerifyInclusion(p[:2], 8, root, 5, leaf),
		"empty root":         VerifyInclusion(p, 8, Hash{}, 5, leaf),
		"empty leaf":         VerifyInclusion(p, 8, root, 5, Hash{}),
		"root and leaf swap": VerifyInclusion(p, 8, leaf, 5, root),
	} {
		require.ErrorIs(t, err, ErrProof, name)
	}
	require.ErrorIs(t, VerifyInclusion(p, 8, root, 8, leaf), ErrRange)
	require.ErrorIs(t, VerifyInclusion(p, 8, root, -1, leaf), ErrRange)
	_, err = tree.Inclusion(8)
	require.ErrorIs(t, err, ErrRange)
	_, err = Consistency(3, 2, tree.read)
	require.ErrorIs(t, err, ErrRange)
}

func TestConsistencyOfEmptyTree(t *testing.T) {
	tree := publishedTree(t, 8)
	now := Checkpoint{Size: 8, Root: tree.Root()}
	p, err := tree.Consistency(0)
	require.NoError(t, err)
	require.NoError(t, VerifyConsistency(p, now, Checkpoint{Root: hash(t, roots[0])}))
	require.ErrorIs(t, VerifyConsistency(p, now, Checkpoint{Root: hash(t, roots[1])}), ErrProof)
	require.ErrorIs(t, VerifyConsistency(p, Checkpoint{Size: 1}, now), ErrRange)
}

// Every proof of every small tree round-trips, and holds for no other leaf,
// older tree or altered hash. The tree grows as rows would: by what Append
// returns.
func TestProofsRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 70).Draw(rt, "n")
		var rows, rootsAt []Hash
		read := func(indexes []int64) ([]Hash, error) {
			out := make([]Hash, len(indexes))
			for i, at := range indexes {
				out[i] = rows[at]
			}
			return out, nil
		}
		leaves := make([]Commitment, n)
		for i := range n {
			leaves[i] = Commit(Salt{byte(i)}, []byte("body"))
			require.Equal(rt, int64(len(rows)), StoredCount(int64(i)))
			added, err := Append(int64(i), leaves[i], read)
			require.NoError(rt, err)
			require.Equal(rt, StoredLeaf(int64(i)), int64(len(rows)))
			rows = append(rows, added...)
			root, err := Root(int64(i+1), read)
			require.NoError(rt, err)
			rootsAt = append(rootsAt, root)
		}
		require.Equal(rt, TreeOf(leaves).Stored(), rows)

		at := rapid.IntRange(0, n-1).Draw(rt, "leaf")
		other := rapid.IntRange(0, n-1).Draw(rt, "other")
		now := Checkpoint{Size: int64(n), Root: rootsAt[n-1]}
		p, err := Inclusion(int64(n), int64(at), read)
		require.NoError(rt, err)
		require.NoError(rt, VerifyInclusion(p, now.Size, now.Root, int64(at), LeafHash(leaves[at][:])))
		if other != at {
			require.ErrorIs(rt, VerifyInclusion(p, now.Size, now.Root, int64(at), LeafHash(leaves[other][:])), ErrProof)
		}
		old := Checkpoint{Size: int64(at + 1), Root: rootsAt[at]}
		p, err = Consistency(old.Size, now.Size, read)
		require.NoError(rt, err)
		require.NoError(rt, VerifyConsistency(p, now, old))
		old.Root[7] ^= 1
		require.ErrorIs(rt, VerifyConsistency(p, now, old), ErrProof)
	})
}

func BenchmarkInclusion100000(b *testing.B) {
	leaves := make([]Commitment, 100_000)
	for i := range leaves {
		leaves[i] = Commit(Salt{byte(i), byte(i >> 8), byte(i >> 16)}, nil)
	}
	tree := TreeOf(leaves)
	root := tree.Root()
	for b.Loop() {
		p, err := tree.Inclusion(77_777)
		if err != nil || VerifyInclusion(p, 100_000, root, 77_777, LeafHash(leaves[77_777][:])) != nil {
			b.Fatal(err)
		}
	}
}
