package photo

import (
	"bytes"
	"encoding/binary"
)

var exifPrefix = []byte("Exif\x00\x00")

const (
	tagOrientation = 0x0112 // EXIF 2.32, table 4
	typeShort      = 3      // TIFF 6.0, section 2
)

// orientation reads the one tag that is needed from an EXIF block (TIFF 6.0,
// section 2), with or without the "Exif" prefix. Whatever cannot be read means
// 1, "as stored".
func orientation(b []byte) int {
	b = bytes.TrimPrefix(b, exifPrefix)
	if len(b) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch string(b[:4]) {
	case "II*\x00":
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	at := int64(order.Uint32(b[4:]))
	if at+2 > int64(len(b)) {
		return 1
	}
	fields := b[at+2:]
	for range order.Uint16(b[at:]) {
		if len(fields) < 12 {
			return 1
		}
		if order.Uint16(fields) == tagOrientation && order.Uint16(fields[2:]) == typeShort {
			return known(order.Uint16(fields[8:]))
		}
		fields = fields[12:]
	}
	return 1
}

func known(v uint16) int {
	if v < 1 || v > 8 {
		return 1
	}
	return int(v)
}
