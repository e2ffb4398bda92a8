package photo

import (
	"encoding/binary"
	"iter"
)

// firstFrame writes the first picture of a WebP file (RFC 9649) as a still
// WebP of its own and returns the EXIF block beside it. The decoder knows no
// moving pictures, and refuses files whose flags do not match their chunks;
// both are common and harmless.
func firstFrame(b []byte) (frame, exif []byte) {
	var alpha []byte
	for id, body := range chunks(b, 12) {
		switch {
		case id == "EXIF" && exif == nil:
			exif = body
		case frame != nil:
		case id == "ALPH":
			alpha = body
		case id == "VP8 " || id == "VP8L":
			frame = still(id, body, alpha)
		case id == "ANMF" && len(body) > 16:
			frame = picture(body)
		}
	}
	return frame, exif
}

// picture is the still in one ANMF chunk, after its 16 bytes of place and
// duration. Frames do not nest.
func picture(anmf []byte) []byte {
	var alpha []byte
	for id, body := range chunks(anmf, 16) {
		switch id {
		case "ALPH":
			alpha = body
		case "VP8 ", "VP8L":
			return still(id, body, alpha)
		}
	}
	return nil
}

func still(id string, body, alpha []byte) []byte {
	out := []byte("RIFF\x00\x00\x00\x00WEBP")
	if id == "VP8 " && alpha != nil && len(body) >= 10 {
		out = appendChunk(out, "VP8X", alphaCanvas(body))
		out = appendChunk(out, "ALPH", alpha)
	}
	out = appendChunk(out, id, body)
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	return out
}

// alphaCanvas is a VP8X chunk that says "with alpha" and repeats the size of
// the VP8 frame (RFC 6386 9.1: 14 bits each, at bytes 6 and 8).
func alphaCanvas(vp8 []byte) []byte {
	w := binary.LittleEndian.Uint16(vp8[6:])&0x3fff - 1
	h := binary.LittleEndian.Uint16(vp8[8:])&0x3fff - 1
	return []byte{1 << 4, 0, 0, 0, byte(w), byte(w >> 8), 0, byte(h), byte(h >> 8), 0}
}

func appendChunk(out []byte, id string, body []byte) []byte {
	out = append(out, id...)
	out = binary.LittleEndian.AppendUint32(out, uint32(len(body)))
	out = append(out, body...)
	if len(body)%2 == 1 {
		out = append(out, 0)
	}
	return out
}

// chunks yields the RIFF chunks from an offset on; it stops at the first one
// that does not fit.
func chunks(b []byte, at int) iter.Seq2[string, []byte] {
	return func(yield func(string, []byte) bool) {
		for at+8 <= len(b) {
			size := int64(binary.LittleEndian.Uint32(b[at+4:]))
			if size > int64(len(b)-at-8) {
				return
			}
			end := at + 8 + int(size)
			if !yield(string(b[at:at+4]), b[at+8:end]) {
				return
			}
			at = end + int(size)%2
		}
	}
}
