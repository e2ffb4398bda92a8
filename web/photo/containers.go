package photo

import (
	"bytes"
	"encoding/binary"
)

// jpegScan is what the marker segments before the first scan tell (ITU-T T.81
// annex B).
type jpegScan struct {
	exif        []byte
	progressive bool
	components  int
	samples     int64 // stored samples in a group of pixels
	group       int64 // pixels in that group
	adobeRGB    bool
}

func scanJPEG(b []byte) jpegScan {
	var s jpegScan
	for i := 2; i+4 <= len(b); {
		if b[i] != 0xff {
			i++ // junk between segments, which decoders skip as well
			continue
		}
		marker := b[i+1]
		switch {
		case marker == 0xff:
			i++
			continue
		case marker == 0xda || marker == 0xd9:
			return s
		case marker == 0 || marker == 1 || (marker >= 0xd0 && marker <= 0xd8):
			i += 2
			continue
		}
		size := int(binary.BigEndian.Uint16(b[i+2:]))
		if size < 2 || i+2+size > len(b) {
			return s
		}
		s.segment(marker, b[i+4:i+2+size])
		i += 2 + size
	}
	return s
}

func (s *jpegScan) segment(marker byte, body []byte) {
	switch {
	case marker == 0xe1 && s.exif == nil && bytes.HasPrefix(body, exifPrefix):
		s.exif = body
	case marker == 0xee && len(body) >= 12 && string(body[:5]) == "Adobe":
		s.adobeRGB = body[11] == 0
	case marker >= 0xc0 && marker <= 0xc2 && len(body) >= 6 && s.components == 0:
		s.progressive = marker == 0xc2
		s.frame(body[5], body[6:])
	}
}

// frame sums up the sampling factors: a colour channel stored at half the
// width takes half the memory.
func (s *jpegScan) frame(n byte, spec []byte) {
	var most, sum int64
	for c := 0; c < int(n) && c*3+2 < len(spec); c++ {
		f := int64(spec[c*3+1]>>4) * int64(spec[c*3+1]&15)
		sum, most = sum+f, max(most, f)
	}
	s.components, s.samples, s.group = int(n), sum, most
}

// bytesPerPixel is what image/jpeg allocates for each pixel, rounded up: one
// byte a sample, and for a progressive picture four more for its coefficient.
func (s *jpegScan) bytesPerPixel() int64 {
	if s.group == 0 {
		return 15
	}
	each := s.samples
	if s.progressive {
		each *= 5
	}
	n := (each + s.group - 1) / s.group
	if s.components == 4 || s.adobeRGB {
		n += 4 // a second image in the final colours
	}
	return n
}

// scanPNG finds the eXIf chunk (PNG third edition, 11.3.3.6) and the interlace
// method of the header.
func scanPNG(b []byte) (exif []byte, interlaced bool) {
	interlaced = len(b) > 28 && b[28] != 0
	for i := 8; i+12 <= len(b); {
		size := int64(binary.BigEndian.Uint32(b[i:]))
		if size > int64(len(b)-i-12) {
			return nil, interlaced
		}
		if string(b[i+4:i+8]) == "eXIf" {
			return b[i+8 : i+8+int(size)], interlaced
		}
		i += 12 + int(size)
	}
	return nil, interlaced
}
