package pdf

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"github.com/ledongthuc/pdf"
	"github.com/stretchr/testify/require"
)

// TestMain lets the test's own program serve as the process that Apart starts.
func TestMain(m *testing.M) {
	if len(os.Args) > 1 && os.Args[1] == Command {
		if Serve(os.Stdin, os.Stdout) != nil {
			os.Exit(1)
		}
		return
	}
	os.Exit(m.Run())
}

// onePage is a PDF of one page, written by hand after the examples of ISO 32000-1
// annex H.3: one font, one stream of text operators.
func onePage(stream string) []byte {
	objects := []string{
		"<< /Type /Catalog /Pages 2 0 R >>",
		"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
		"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
		fmt.Sprintf("<< /Length %d >>\nstream\n%s\nendstream", len(stream), stream),
		"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica /Encoding /WinAnsiEncoding >>",
	}
	var b bytes.Buffer
	b.WriteString("%PDF-1.4\n")
	var at []int
	for i, o := range objects {
		at = append(at, b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	xref := b.Len()
	fmt.Fprintf(&b, "xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for _, n := range at {
		fmt.Fprintf(&b, "%010d 00000 n \n", n)
	}
	fmt.Fprintf(&b, "trailer\n<< /Size %d /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n", len(objects)+1, xref)
	return b.Bytes()
}

const barley = "BT /F1 12 Tf 72 720 Td (Barley broth) Tj 0 -40 Td (200 g) Tj 60 0 Td (pearl barley) Tj -60 -14 Td (3 leeks, sliced) Tj 0 -40 Td (Simmer 40 minutes.) Tj ET"

func TestTextKeepsLines(t *testing.T) {
	text, err := Text(onePage(barley))
	require.NoError(t, err)
	require.Equal(t, "Barley broth\n\n200 g pearl barley\n3 leeks, sliced\n\nSimmer 40 minutes.", text)
}

func TestNothingToRead(t *testing.T) {
	for name, data := range map[string][]byte{"empty": nil, "no PDF": []byte("200 g barley"), "head only": []byte("%PDF-1.7"),
		"cut": onePage(barley)[:300], "no text": onePage("0 0 m 10 10 l S"), "large": make([]byte, MaxBytes+1)} {
		_, err := Text(data)
		require.ErrorIs(t, err, ErrNoText, name)
	}
}

func TestApart(t *testing.T) {
	text, err := Apart(t.Context(), onePage(barley))
	require.NoError(t, err)
	require.True(t, strings.HasPrefix(text, "Barley broth\n"))
	_, err = Apart(t.Context(), []byte("%PDF-1.7"))
	require.ErrorIs(t, err, ErrNoText)
}

// The library can be led in circles: a table of contents that names itself as
// the one before it. The process that reads it is ended.
func TestApartEndsWhatGoesInCircles(t *testing.T) {
	circle := bytes.Replace(onePage(barley), []byte("/Root 1 0 R"), []byte("/Root 1 0 R /Prev 0000"), 1)
	at := bytes.LastIndex(circle, []byte("startxref\n")) + len("startxref\n")
	xref := bytes.TrimSpace(bytes.Split(circle[at:], []byte("\n"))[0])
	circle = bytes.Replace(circle, []byte("/Prev 0000"), append([]byte("/Prev "), xref...), 1)
	start := time.Now()
	_, err := apart(t.Context(), circle, time.Second)
	require.ErrorIs(t, err, ErrNoText)
	require.Less(t, time.Since(start), 5*time.Second)
}

// Lines end whatever letters stand on a page, and hold all that is no blank.
func FuzzLines(f *testing.F) {
	f.Add("200 g barley", 12.0, 6.0, 14.0)
	f.Add("a\u00adb\xff", 0.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, raw string, size, width, down float64) {
		text := strings.ToValidUTF8(raw, "\ufffd")
		var letters []pdf.Text
		x, y := 0.0, 0.0
		for _, c := range text {
			if c == '\n' {
				x, y = 0, y-down
				continue
			}
			letters = append(letters, pdf.Text{FontSize: size, X: x, Y: y, W: width, S: string(c)})
			x += width
		}
		got := strings.Join(strings.Fields(lines(letters)), "")
		want := strings.Join(strings.Fields(text), "")
		require.Equal(t, utf8.RuneCountInString(want), utf8.RuneCountInString(got))
	})
}
