package draw

import (
	"cmp"
	"crypto/md5"
	"encoding/binary"
	"encoding/hex"
	"math"
	"math/big"
	"slices"
	"strings"
)

// The forms a public source's values can have.
const (
	Whole   = "whole"   // whole numbers, sorted before they are used
	Decimal = "decimal" // numbers with a decimal point, sorted as well
	Text    = "text"    // one name, word or code, such as a beacon's in hex
)

// Source is a public value that does not exist yet: a lottery's numbers, the
// last digits of a published figure. RFC 3797, sections 3 and 4.
type Source struct {
	Name  string `json:"name"`
	At    Moment `json:"at"`  // when it appears
	How   string `json:"how"` // where it is read and how it is written down
	Form  string `json:"form"`
	Count int    `json:"count"` // how many values
	// Low and High bound whole values, both ends included; 0 and 0 for no bound.
	Low      int64 `json:"low,omitempty"`
	High     int64 `json:"high,omitempty"`
	Distinct bool  `json:"distinct,omitempty"` // no value occurs twice
	// Bits is how many bits of surprise the source is counted with.
	Bits int `json:"bits"`
}

// Limits of public sources. MaxPool follows from the index of two bytes, MaxBits
// from the length of MD5, both in RFC 3797, section 4.
const (
	MaxPool    = 65_535
	MaxBits    = 128
	maxSources = 20
	maxValues  = 100
	maxDigits  = 30
	maxText    = 300
)

// Lottery describes count different numbers from low to high, counted with
// all the surprise such a lottery has.
func Lottery(name string, at Moment, how string, count int, low, high int64) Source {
	s := Source{Name: name, At: at, How: how, Form: Whole, Count: count, Low: low, High: high, Distinct: true}
	s.Bits = min(MaxBits, s.mostBits())
	return s
}

// Counted returns the source counted with all the surprise its bounds allow,
// where it was not said how much it has.
func (s Source) Counted() Source {
	if s.Bits == 0 && s.bounded() && s.Form == Whole && s.Count > 0 && s.High-s.Low+1 >= int64(s.Count) {
		s.Bits = min(MaxBits, s.mostBits())
	}
	return s
}

// Check refuses (BadPlan) a source nobody could use.
func (s Source) Check() error {
	switch {
	case s.Name == "" || !plain(s.Name, 200) || s.How == "" || !plain(s.How, 500):
		return refuse(BadPlan, "Name each public source and say in one line where it is read and how it is written down.")
	case s.At.IsZero():
		return refuse(BadPlan, "Say when “%v” appears.", s.Name)
	case s.Form != Whole && s.Form != Decimal && s.Form != Text:
		return refuse(BadPlan, "“%v” gives whole numbers, numbers with a decimal point, or a text.", s.Name)
	case s.Count < 1 || s.Count > maxValues || s.Form == Text && s.Count != 1:
		return refuse(BadPlan, "“%v” gives 1 to %v numbers, or one text.", s.Name, maxValues)
	case s.Low < 0 || s.High < s.Low || s.High > 1e12 || s.Form != Whole && (s.bounded() || s.Distinct):
		return refuse(BadPlan, "The lowest and highest value of “%v” do not fit.", s.Name)
	case s.bounded() && s.Distinct && s.High-s.Low+1 < int64(s.Count):
		return refuse(BadPlan, "“%v” has too few values to give %v different ones.", s.Name, s.Count)
	case s.Bits < 1 || s.Bits > MaxBits || s.bounded() && s.Bits > s.mostBits():
		return refuse(BadPlan, "“%v” is counted with %v bits of surprise; it has at least 1 and no more than %v.", s.Name, s.Bits, s.mostBits())
	}
	return nil
}

func (s Source) bounded() bool { return s.Low != 0 || s.High != 0 }

// mostBits is the min-entropy, in whole bits, of Count values from Low to High
// whose order is not kept: the likeliest outcome has probability 1/C(m,k), or
// at most k!/m^k if values may repeat.
func (s Source) mostBits() int {
	if !s.bounded() {
		return MaxBits
	}
	m, k := s.High-s.Low+1, int64(s.Count)
	n := new(big.Int)
	if s.Distinct {
		n.Binomial(m, k)
	} else {
		n.Exp(big.NewInt(m), big.NewInt(k), nil)
		n.Quo(n, new(big.Int).MulRange(1, k))
	}
	return max(0, n.BitLen()-1)
}

// written returns the values as RFC 3797, section 4, writes them: numbers
// sorted, without leading zeros; each whole one followed by a full stop, a
// decimal one as whole part, point, and fraction without trailing zeros. The
// source ends with a slash. Of a text, which the RFC does not know, the letters
// a to z, small, and the digits are written and nothing else.
func (s Source) written(values []string) (string, error) {
	if len(values) != s.Count {
		return "", refuse(BadNumber, "“%v” gives %v values, not %v.", s.Name, s.Count, len(values))
	}
	switch s.Form {
	case Text:
		return s.writtenText(values[0])
	case Decimal:
		return s.writtenDecimals(values)
	}
	sorted := make([]string, len(values))
	for i, v := range values {
		if !digits(v) {
			return "", refuse(BadNumber, "“%v” gives whole numbers; “%v” is none.", s.Name, v)
		}
		sorted[i] = unpadded(v)
		if s.bounded() && !s.within(sorted[i]) {
			return "", refuse(BadNumber, "“%v” gives numbers from %v to %v, not %v.", s.Name, s.Low, s.High, v)
		}
	}
	slices.SortFunc(sorted, asNumbers)
	if s.Distinct && len(slices.Compact(slices.Clone(sorted))) != len(sorted) {
		return "", refuse(BadNumber, "“%v” gives different numbers; one was typed twice.", s.Name)
	}
	return strings.Join(sorted, ".") + "./", nil
}

func (s Source) writtenText(value string) (string, error) {
	if !plain(value, maxText) {
		return "", refuse(BadNumber, "Type what “%v” gave in one line of at most %v letters.", s.Name, maxText)
	}
	kept := strings.Map(func(r rune) rune {
		switch {
		case 'A' <= r && r <= 'Z':
			return r - 'A' + 'a'
		case 'a' <= r && r <= 'z' || '0' <= r && r <= '9':
			return r
		}
		return -1
	}, value)
	if kept == "" {
		return "", refuse(BadNumber, "What “%v” gave needs at least one letter from a to z or one digit.", s.Name)
	}
	return kept + "/", nil
}

func (s Source) writtenDecimals(values []string) (string, error) {
	type decimal struct{ whole, fraction string }
	sorted := make([]decimal, len(values))
	for i, v := range values {
		whole, fraction, _ := strings.Cut(v, ".")
		if !digits(whole) || fraction != "" && !digits(fraction) {
			return "", refuse(BadNumber, "Type each value of “%v” with digits and one point, like 1234.50.", s.Name)
		}
		sorted[i] = decimal{unpadded(whole), strings.TrimRight(fraction, "0")}
	}
	slices.SortFunc(sorted, func(a, b decimal) int {
		return cmp.Or(asNumbers(a.whole, b.whole), cmp.Compare(a.fraction, b.fraction))
	})
	var b strings.Builder
	for _, d := range sorted {
		b.WriteString(d.whole + "." + d.fraction)
	}
	return b.String() + "/", nil
}

// asNumbers compares two whole numbers without leading zeros.
func asNumbers(a, b string) int { return cmp.Or(cmp.Compare(len(a), len(b)), cmp.Compare(a, b)) }

func (s Source) within(v string) bool {
	n, ok := new(big.Int).SetString(v, 10)
	return ok && n.IsInt64() && n.Int64() >= s.Low && n.Int64() <= s.High
}

func digits(v string) bool {
	return v != "" && len(v) <= maxDigits && strings.Trim(v, "0123456789") == ""
}

func unpadded(v string) string {
	if v = strings.TrimLeft(v, "0"); v == "" {
		return "0"
	}
	return v
}

// PublicDigest returns MD5(c || key || c), c being the counter in two bytes,
// big-endian (RFC 3797, section 4.2).
func PublicDigest(key string, counter int) [md5.Size]byte {
	var c [2]byte
	binary.BigEndian.PutUint16(c[:], uint16(counter))
	buf := append(c[:], key...)
	return md5.Sum(append(buf, c[:]...))
}

// drawPublic fills every place from the key string, as RFC 3797 does.
func (s *State) drawPublic(key string) {
	for counter := 0; len(s.Result) < s.Plan.Places; counter++ {
		digest := PublicDigest(key, counter)
		d := new(big.Int).SetBytes(digest[:])
		index := d.Mod(d, big.NewInt(s.pool.tickets)).Int64()
		s.fill(Step{
			Way: ByMD5, Place: s.Place, Tickets: s.pool.tickets, Counter: int64(counter),
			Digest: hex.EncodeToString(digest[:]), Index: index,
		})
	}
}

// OrderedBits returns log2(n!/(n-k)!), the surprise needed to fill k ordered
// places from n entries.
func OrderedBits(n, k int) float64 {
	bits := 0.0
	for i := range k {
		bits += math.Log2(float64(n - i))
	}
	return bits
}

// ChoiceBits returns log2(n!/(k!(n-k)!)), the figure of the table in RFC 3797,
// section 3.3, for choosing k from n without order.
func ChoiceBits(n, k int) float64 {
	bits := OrderedBits(n, k)
	for i := range k {
		bits -= math.Log2(float64(i + 1))
	}
	return bits
}

// BitsNeeded returns OrderedBits rounded up, exactly; above MaxBits it returns
// MaxBits+1.
func BitsNeeded(n, k int) int {
	ways := big.NewInt(1)
	for i := range k {
		ways.Mul(ways, big.NewInt(int64(n-i)))
		if ways.BitLen() > MaxBits+1 {
			return MaxBits + 1
		}
	}
	return ways.Sub(ways, big.NewInt(1)).BitLen()
}
