package intake

import (
	"archive/zip"
	"bytes"
	"path"
	"strings"
)

// archive reads every file of a zip. Nothing is written to a disk: a name can
// do no harm, but one that points outside is skipped all the same.
func (in *intake) archive(name string, data []byte, level int) {
	if level >= maxArchive {
		in.skip(name, Unknown, Nested)
		return
	}
	if tooManyFiles(data) {
		in.skip(name, Unknown, TooMuch)
		return
	}
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil && z == nil {
		in.skip(name, Unknown, Damaged)
		return
	}
	for _, f := range z.File {
		if in.stopped {
			return
		}
		in.packed(name, f, level)
	}
}

func (in *intake) packed(archive string, f *zip.File, level int) {
	inner := strings.ReplaceAll(f.Name, "\\", "/")
	base := path.Base(inner)
	if strings.HasSuffix(inner, "/") || f.FileInfo().IsDir() || strings.HasPrefix(inner, "__MACOSX/") || strings.HasPrefix(base, ".") && base != ".." {
		return
	}
	where := shortName(archive + ": " + inner)
	switch {
	case path.IsAbs(inner), strings.Contains("/"+inner+"/", "/../"), len(inner) > 1 && inner[1] == ':':
		in.skip(where, Unknown, BadPath)
		return
	case f.Flags&1 != 0:
		in.skip(where, Unknown, Protected)
		return
	case in.left <= 0:
		in.skip(archive, Unknown, TooMuch)
		in.stopped = true
		return
	}
	most := min(in.left, maxTotal/2)
	b, whole := unpack(f, most)
	in.left -= int64(len(b))
	switch {
	case !whole && int64(len(b)) == most:
		in.skip(where, Unknown, TooMuch)
	case !whole:
		in.skip(where, Unknown, Damaged)
	default:
		in.file(where, b, level+1)
	}
}

// tooManyFiles looks for the marks of an archive's list of files before that
// list is read into memory.
func tooManyFiles(data []byte) bool { return bytes.Count(data, []byte("PK\x01\x02")) > maxFiles }
