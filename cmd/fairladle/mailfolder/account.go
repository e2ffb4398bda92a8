package mailfolder

import (
	"errors"
	"fmt"
	"net"
	"net/url"
	"strings"
)

// An Account is where a folder lies and who may look into it.
type Account struct {
	Host     string // with the port
	User     string
	Password string
	Folder   string
	TLS      bool // from the start; else by STARTTLS
}

// Parse reads an address such as "imaps://user@mail.example.org/Recipes". The
// part behind the host is the folder, INBOX where it is missing; imap:// means
// STARTTLS. A password in the address is refused: other people of the machine
// could see it.
func Parse(address string) (Account, error) {
	u, err := url.Parse(address)
	if err != nil {
		return Account{}, errors.New("write it like imaps://user@mail.example.org/Folder")
	}
	a := Account{User: u.User.Username(), Folder: strings.TrimPrefix(u.Path, "/"), TLS: u.Scheme == "imaps"}
	if u.Scheme != "imaps" && u.Scheme != "imap" || u.Hostname() == "" || a.User == "" {
		return Account{}, errors.New("write it like imaps://user@mail.example.org/Folder")
	}
	port := "993"
	if !a.TLS {
		port = "143"
	}
	if _, set := u.User.Password(); set {
		return Account{}, errors.New("leave the password out of the address and give it in FAIRLADLE_IMAP_PASSWORD")
	}
	if u.Port() != "" {
		port = u.Port()
	}
	if a.Folder == "" {
		a.Folder = "INBOX"
	}
	a.Host = net.JoinHostPort(u.Hostname(), port)
	return a, nil
}

// String is the account without its password, for a person.
func (a Account) String() string { return fmt.Sprintf("%s of %s at %s", a.Folder, a.User, a.Host) }

// here reports that the server runs on this very machine.
func (a Account) here() bool {
	host, _, err := net.SplitHostPort(a.Host)
	if err != nil {
		return false
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}
