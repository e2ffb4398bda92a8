package ledger

import (
	"crypto/ed25519"
	"encoding/base64"
	"encoding/hex"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// RFC 8032, section 7.1, test 1 (from memory): secret key, public key and the
// signature of the empty message.
const (
	rfc8032Seed   = "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"
	rfc8032Public = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"
	rfc8032Sig    = "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"
)

func testKey(t testing.TB) (ed25519.PublicKey, ed25519.PrivateKey) {
	t.Helper()
	seed, err := hex.DecodeString(rfc8032Seed)
	require.NoError(t, err)
	priv := ed25519.NewKeyFromSeed(seed)
	return priv.Public().(ed25519.PublicKey), priv
}

func TestKeyAgainstRFC8032(t *testing.T) {
	pub, priv := testKey(t)
	require.Equal(t, rfc8032Public, hex.EncodeToString(pub))
	require.Equal(t, rfc8032Sig, hex.EncodeToString(ed25519.Sign(priv, nil)))
}

func TestCheckpointRoundTrip(t *testing.T) {
	pub, priv := testKey(t)
	want := Checkpoint{Origin: "example.org/winter-pies", Size: 8, Root: hash(t, roots[8])}
	signed, err := want.Sign(priv)
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(signed, "example.org/winter-pies\n8\nXcnaeacGWamtVZy3Ad7ZoqudgjqtL0lgz+Nw7/RgQyg=\n\n— example.org/winter-pies "), signed)

	got, err := VerifyCheckpoint(signed, pub)
	require.NoError(t, err)
	require.Equal(t, want, got)

	parsed, err := ParseCheckpoint(want.Text())
	require.NoError(t, err)
	require.Equal(t, want, parsed)
}

func TestCheckpointRefused(t *testing.T) {
	pub, priv := testKey(t)
	c := Checkpoint{Origin: "example.org/pies", Size: 8, Root: hash(t, roots[8])}
	signed, err := c.Sign(priv)
	require.NoError(t, err)

	other := ed25519.NewKeyFromSeed(make([]byte, 32)).Public().(ed25519.PublicKey)
	_, err = VerifyCheckpoint(signed, other)
	require.ErrorIs(t, err, ErrSignature)
	_, err = VerifyCheckpoint(c.Text(), pub)
	require.ErrorIs(t, err, ErrSignature, "no signature at all")
	_, err = VerifyCheckpoint(signed, nil)
	require.ErrorIs(t, err, ErrKey)
	for i := range signed {
		changed := []byte(signed)
		changed[i] ^= 1
		_, err := VerifyCheckpoint(string(changed), pub)
		require.Error(t, err, "byte %d of the checkpoint changed", i)
	}

	for _, origin := range []string{"", "two words", "a+b", "line\nbreak"} {
		_, err := Checkpoint{Origin: origin}.Sign(priv)
		require.ErrorIs(t, err, ErrCheckpoint, origin)
	}
	for _, text := range []string{"", "a\n1\n", "a\n01\n" + base64.StdEncoding.EncodeToString(c.Root[:]) + "\n",
		"a\n-1\n" + base64.StdEncoding.EncodeToString(c.Root[:]) + "\n", "a\n1\nAAAA\n"} {
		_, err := ParseCheckpoint(text)
		require.ErrorIs(t, err, ErrCheckpoint, text)
	}
}

func TestParseKey(t *testing.T) {
	pub, _ := testKey(t)
	verifierKey := "example.org+" + "00000000+" + base64.StdEncoding.EncodeToString(append([]byte{1}, pub...))
	for _, text := range []string{hex.EncodeToString(pub), base64.StdEncoding.EncodeToString(pub) + "\n", verifierKey} {
		got, err := ParseKey(text)
		require.NoError(t, err, text)
		require.Equal(t, pub, got)
	}
	for _, text := range []string{"", "abc", "a+b+c", hex.EncodeToString(pub[1:])} {
		_, err := ParseKey(text)
		require.ErrorIs(t, err, ErrKey, text)
	}
}

func TestParseHead(t *testing.T) {
	slip := testSlip(t)
	want, err := ParseCheckpoint(slip.Checkpoint)
	require.NoError(t, err)
	text, err := slip.Encode()
	require.NoError(t, err)
	for _, kept := range []string{slip.Checkpoint, want.Text(), string(text)} {
		got, err := ParseHead(kept)
		require.NoError(t, err, kept)
		require.Equal(t, want, got)
	}
	got, err := ParseHead(" 5 " + want.Root.String() + "\n")
	require.NoError(t, err)
	require.Equal(t, Checkpoint{Size: 5, Root: want.Root}, got)
	for _, bad := range []string{"", "5", "x " + want.Root.String(), "-1 " + want.Root.String(), "5 abc", "{}", "1 2 3"} {
		_, err := ParseHead(bad)
		require.ErrorIs(t, err, ErrCheckpoint, bad)
	}
}

func FuzzParseHead(f *testing.F) {
	slip := testSlip(f)
	f.Add(slip.Checkpoint)
	f.Add("5 " + slip.Checkpoint)
	f.Add("{}")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ParseHead(text)
		if err == nil {
			require.GreaterOrEqual(t, c.Size, int64(0))
		}
	})
}
