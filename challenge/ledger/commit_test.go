package ledger

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func sha(data []byte) Hash { return sha256.Sum256(data) }

// RFC 9901, sections 4.2.3 and 5: the digest of a disclosure is the SHA-256 of
// its encoded text. Our commitment is the same function with the text cut
// behind its first 16 bytes.
func TestCommitAgainstRFC9901(t *testing.T) {
	for _, c := range []struct{ disclosure, encoded, digest string }{
		{`["_26bc4LT-ac6q2KI6cBW5es", "family_name", "Möbius"]`,
			"WyJfMjZiYzRMVC1hYzZxMktJNmNCVzVlcyIsICJmYW1pbHlfbmFtZSIsICJNw7ZiaXVzIl0",
			"X9yH0Ajrdm1Oij4tWso9UzzKJvPoDxwmuEcO3XAdRC0"},
		{`["2GLC42sKQveCfGfryNRN9w", "given_name", "John"]`,
			"WyIyR0xDNDJzS1F2ZUNmR2ZyeU5STjl3IiwgImdpdmVuX25hbWUiLCAiSm9obiJd",
			"jsu9yVulwQQlhFlM_3JlzMaSFzglhQG0DpfayQwLUK4"},
		{`["lklxF5jMYlGTPUovMNIvCA", "US"]`,
			"WyJsa2x4RjVqTVlsR1RQVW92TU5JdkNBIiwgIlVTIl0",
			"pFndjkZ_VCzmyTa6UjlZo3dh-ko8aIKQc9DlGzhaVYo"},
	} {
		encoded := base64.RawURLEncoding.EncodeToString([]byte(c.disclosure))
		require.Equal(t, c.encoded, encoded)
		got := Commit(Salt([]byte(encoded[:16])), []byte(encoded[16:]))
		require.Equal(t, c.digest, base64.RawURLEncoding.EncodeToString(got[:]))
	}
}

// FIPS 180-2, appendix B.1 and B.2: SHA-256 of "abc" and of the 448-bit
// message, from memory; the first 16 bytes of the latter stand as the salt.
func TestCommitAgainstFIPS180(t *testing.T) {
	require.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", sha([]byte("abc")).String())
	msg := "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"
	require.Equal(t, "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1",
		Commit(Salt([]byte(msg[:16])), []byte(msg[16:])).String())
}

func TestHexIsStrict(t *testing.T) {
	var h Hash
	good := "00000000000000000000000000000000000000000000000000000000000000ab"
	require.NoError(t, h.UnmarshalText([]byte(good)))
	for _, bad := range []string{"", good[1:], good + "00", good[:62] + "AB", good[:62] + "xy"} {
		require.ErrorIs(t, h.UnmarshalText([]byte(bad)), ErrHex, bad)
	}
	out, err := json.Marshal(struct {
		H Hash
		C Commitment
		S Salt
	}{S: Salt{0xab}})
	require.NoError(t, err)
	require.Contains(t, string(out), `"S":"ab000000000000000000000000000000"`)
}

// RFC 8785, section 3.2.2 (input) and 3.2.3 (output): member sorting, strings,
// numbers and literals; and the sorting example of section 3.2.3.
func TestCanonicalAgainstRFC8785(t *testing.T) {
	in := `{
  "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
  "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
  "literals": [null, true, false]
}`
	want := `{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\u000f\nA'B\"\\\\\"/"}`
	out, err := Canonical(json.RawMessage(in))
	require.NoError(t, err)
	require.Equal(t, want, string(out))

	in = `{"\u20ac":"Euro Sign","\r":"Carriage Return","\ufb33":"Hebrew Letter Dalet With Dagesh","1":"One",` +
		`"\ud83d\ude00":"Emoji: Grinning Face","\u0080":"Control","\u00f6":"Latin Small Letter O With Diaeresis"}`
	want = "{\"\\r\":\"Carriage Return\",\"1\":\"One\",\"\u0080\":\"Control\",\"ö\":\"Latin Small Letter O With Diaeresis\"," +
		"\"€\":\"Euro Sign\",\"😀\":\"Emoji: Grinning Face\",\"\ufb33\":\"Hebrew Letter Dalet With Dagesh\"}"
	out, err = Canonical(json.RawMessage(in))
	require.NoError(t, err)
	require.Equal(t, want, string(out))

	// The structure example kept beside the RFC's reference programs.
	in = `{"1": {"f": {"f": "hi","F": 5} ,"\n": 56.0}, "10": { }, "": "empty", "a": { }, "111": [ {"e": "yes","E": "no" } ], "A": { }}`
	want = `{"":"empty","1":{"\n":56,"f":{"F":5,"f":"hi"}},"10":{},"111":[{"E":"no","e":"yes"}],"A":{},"a":{}}`
	out, err = Canonical(json.RawMessage(in))
	require.NoError(t, err)
	require.Equal(t, want, string(out))

	_, err = Canonical(func() {})
	require.Error(t, err)
	_, err = Canonical(json.RawMessage(`{"a":1,"a":2}`))
	require.Error(t, err, "a member twice")
}

// RFC 8785, appendix B: IEEE 754 doubles in hex and their JSON form, from memory.
func TestCanonicalNumbersAgainstRFC8785(t *testing.T) {
	for bits, want := range map[uint64]string{
		0x0000000000000000: "0",
		0x8000000000000000: "0",
		0x0000000000000001: "5e-324",
		0x7fefffffffffffff: "1.7976931348623157e+308",
		0x4340000000000000: "9007199254740992",
		0xc340000000000000: "-9007199254740992",
		0x4430000000000000: "295147905179352830000",
		0x44b52d02c7e14af5: "9.999999999999997e+22",
		0x44b52d02c7e14af6: "1e+23",
		0x444b1ae4d6e2ef4e: "999999999999999700000",
		0x444b1ae4d6e2ef50: "1e+21",
		0x3eb0c6f7a0b5ed8c: "9.999999999999997e-7",
		0x3eb0c6f7a0b5ed8d: "0.000001",
		0x41b3de4355555555: "333333333.3333333",
		0xbecbf647612f3696: "-0.0000033333333333333333",
		0x43143ff3c1cb0959: "1424953923781206.2",
	} {
		out, err := Canonical(math.Float64frombits(bits))
		require.NoError(t, err)
		require.Equal(t, want, string(out), "%016x", bits)
	}
}
