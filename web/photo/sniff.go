package photo

import "bytes"

// sniff names the format by the first bytes alone: neither the file's name nor
// the browser's word counts. The second result is false for a format that is
// recognised only to be refused; the name is empty if nothing is recognised.
func sniff(b []byte) (format string, taken bool) {
	for _, m := range magic {
		if len(b) >= m.at+len(m.bytes) && string(b[m.at:m.at+len(m.bytes)]) == m.bytes {
			return m.format, m.taken
		}
	}
	if f := isobmff(b); f != "" {
		return f, false
	}
	if looksLikeSVG(b) {
		return "SVG", false
	}
	return "", false
}

// Signatures: JPEG ITU-T T.81 B.1.1.3, PNG W3C 5.2, GIF89a section 17, WebP
// RFC 9649 2.4, TIFF 6.0 section 2; the others by common practice.
var magic = []struct {
	at            int
	bytes, format string
	taken         bool
}{
	{0, "\xff\xd8\xff", "JPEG", true},
	{0, "\x89PNG\r\n\x1a\n", "PNG", true},
	{0, "GIF87a", "GIF", true},
	{0, "GIF89a", "GIF", true},
	{8, "WEBPVP8", "WebP", true},
	{0, "II*\x00", "TIFF", false},
	{0, "MM\x00*", "TIFF", false},
	{0, "BM", "BMP", false},
	{0, "\x00\x00\x01\x00", "ICO", false},
	{0, "8BPS", "Photoshop", false},
	{0, "%PDF-", "PDF", false},
	{0, "\xff\x0a", "JPEG XL", false},
	{0, "\x00\x00\x00\x0cJXL ", "JPEG XL", false},
	{0, "\x00\x00\x00\x0cjP  ", "JPEG 2000", false},
}

// isobmff tells the brands that phones and browsers use (ISO/IEC 23008-12,
// AVIF 1.1) from the file type box.
func isobmff(b []byte) string {
	if len(b) < 12 || string(b[4:8]) != "ftyp" {
		return ""
	}
	switch string(b[8:12]) {
	case "avif", "avis":
		return "AVIF"
	case "heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1":
		return "HEIC"
	default:
		return ""
	}
}

func looksLikeSVG(b []byte) bool {
	head := bytes.ToLower(b[:min(len(b), 512)])
	return bytes.Contains(head, []byte("<svg"))
}
