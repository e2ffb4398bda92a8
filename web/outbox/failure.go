package outbox

import (
	"errors"
	"net"
	"strconv"

	gomail "github.com/wneessen/go-mail"
)

// Failure says why a letter was not taken, in a word that names nobody: the
// mail server's reply code, "unreachable", or "unsent" for anything else.
// forGood is true where trying again can change nothing: the server refused
// for good (5yz in RFC 5321), or the letter cannot be written.
func Failure(err error) (why string, forGood bool) {
	if e, ok := errors.AsType[*gomail.SendError](err); ok {
		if e.ErrorCode() >= 400 {
			return strconv.Itoa(e.ErrorCode()), e.ErrorCode() >= 500 && !e.IsTemp()
		}
	}
	if errors.Is(err, errUnwritable) {
		return "unsent", true
	}
	if _, ok := errors.AsType[*net.OpError](err); ok {
		return "unreachable", false
	}
	return "unsent", false
}

// errUnwritable marks a letter whose address no mail program takes.
var errUnwritable = errors.New("the letter cannot be written")
