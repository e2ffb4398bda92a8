package web

import (
	"net/http"
	"strconv"
	"strings"
	"time"

	"fairladle/challenge"
)

// maxMemory is how much of an upload is held in memory; the body limit bounds
// the whole of it.
const maxMemory = 16 << 20

// parse reads a posted form; a body that is too large or broken is refused.
func parse(r *http.Request) error {
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		err = r.ParseMultipartForm(maxMemory)
	} else {
		err = r.ParseForm()
	}
	if err == nil {
		return nil
	}
	if status, _, _ := statusOf(err); status == http.StatusRequestEntityTooLarge {
		return err
	}
	return challenge.Refuse(challenge.Invalid, "", "This form did not arrive whole. Go back and send it again.")
}

// field is one trimmed value of a posted form.
func field(r *http.Request, name string) string { return strings.TrimSpace(r.PostFormValue(name)) }

// number is a whole number of a posted form; what is none is -1, which every
// check refuses.
func number(r *http.Request, name string) int {
	n, err := strconv.Atoi(field(r, name))
	if err != nil {
		return -1
	}
	return n
}

// id is an identifier in a posted form, 0 where there is none.
func id(r *http.Request, name string) int64 {
	n, err := strconv.ParseInt(field(r, name), 10, 64)
	if err != nil {
		return 0
	}
	return n
}

// ticked says whether a box was ticked.
func ticked(r *http.Request, name string) bool { return r.PostFormValue(name) != "" }

// localTime is the form of <input type="datetime-local">.
const localTime = "2006-01-02T15:04"

// moment reads a wall-clock time in a zone; what cannot be read is zero, which
// checks refuse.
func moment(r *http.Request, name string, zone string) time.Time {
	loc, err := time.LoadLocation(zone)
	if err != nil || zone == "" {
		loc = time.UTC
	}
	t, err := time.ParseInLocation(localTime, field(r, name), loc)
	if err != nil {
		return time.Time{}
	}
	return t.UTC()
}
