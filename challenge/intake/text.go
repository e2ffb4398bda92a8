package intake

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decode makes UTF-8 of a file: as its byte order mark says, else as it is,
// else from Windows-1252, which most old files are in.
func decode(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\xef\xbb\xbf")):
		return strings.ToValidUTF8(string(data[3:]), "\ufffd")
	case bytes.HasPrefix(data, []byte("\xff\xfe")), bytes.HasPrefix(data, []byte("\xfe\xff")):
		if out, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data); err == nil {
			return strings.ToValidUTF8(string(out), "\ufffd")
		}
	case !utf8.Valid(data) && !nearlyUTF8(data):
		if out, err := charmap.Windows1252.NewDecoder().Bytes(data); err == nil {
			return string(out)
		}
	}
	return strings.ToValidUTF8(string(data), "\ufffd")
}

// nearlyUTF8 is a file cut in the middle of a letter, or with a stray byte:
// most of what lies above ASCII is good.
func nearlyUTF8(data []byte) bool {
	good, bad := 0, 0
	for i := 0; i < len(data); {
		if data[i] < utf8.RuneSelf {
			i++
			continue
		}
		c, n := utf8.DecodeRune(data[i:])
		if c == utf8.RuneError && n == 1 {
			bad++
		} else {
			good++
		}
		i += n
	}
	return good > 4*bad
}

// kept is the form in which a received text is stored: LF line ends, no NUL.
// A text in this form stays as it is, byte for byte.
func kept(s string) string {
	s = strings.ReplaceAll(s, "\r\n", "\n")
	s = strings.ReplaceAll(s, "\r", "\n")
	return strings.ReplaceAll(s, "\x00", "")
}

func readText(name string, data []byte, f Format) Raw {
	r := Raw{Where: name, Format: f}
	if len(data) > 4*MaxText {
		r.weaker(Skipped, TooLong)
		return r
	}
	r.Text = kept(decode(data))
	judge(&r)
	return r
}
