package mailfolder

import (
	"context"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"time"

	"github.com/emersion/go-imap/v2"
	"github.com/emersion/go-imap/v2/imapclient"
)

// Options bound what is fetched.
type Options struct {
	Since    time.Time // only mails the server got on this day or later; zero: all
	MaxMail  int64     // bytes of one mail; a larger one comes without its content
	MaxMails int       // the newest are left for a second time
	TLS      *tls.Config
}

// A Mail is one mail of the folder. Data is nil where it is larger than allowed.
type Mail struct {
	UID  uint32
	Data []byte
}

// patience is how long the server may take for one answer.
const patience = 2 * time.Minute

// Fetch passes the mails of the folder on, the oldest first and one at a time,
// until all came or take returns false. It returns how many the folder holds.
// It changes nothing there.
func Fetch(ctx context.Context, a Account, o Options, take func(Mail) bool) (total int, err error) {
	c, err := a.dial(o)
	if err != nil {
		return 0, fmt.Errorf("the mail server does not answer: %w", err)
	}
	defer c.Close()
	stop := context.AfterFunc(ctx, func() { c.Close() })
	defer stop()
	if err := within(c, func() error { return c.Login(a.User, a.Password).Wait() }); err != nil {
		return 0, fmt.Errorf("the mail server refuses %s: %w", a.User, err)
	}
	if err := within(c, func() error {
		_, err := c.Select(a.Folder, &imap.SelectOptions{ReadOnly: true}).Wait()
		return err
	}); err != nil {
		return 0, fmt.Errorf("the folder %q cannot be opened: %w", a.Folder, err)
	}
	sizes, err := look(c, o)
	if err != nil {
		return 0, fmt.Errorf("list the folder: %w", err)
	}
	for i, m := range sizes {
		if o.MaxMails > 0 && i >= o.MaxMails {
			break
		}
		mail := Mail{UID: uint32(m.UID)}
		if m.RFC822Size <= o.MaxMail {
			if mail.Data, err = body(c, m.UID, o.MaxMail); err != nil {
				return len(sizes), fmt.Errorf("fetch mail %d: %w", m.UID, err)
			}
		}
		if !take(mail) {
			break
		}
	}
	_ = within(c, func() error { return c.Logout().Wait() })
	return len(sizes), ctx.Err()
}

func (a Account) dial(o Options) (*imapclient.Client, error) {
	options := &imapclient.Options{TLSConfig: o.TLS, Dialer: &net.Dialer{Timeout: 30 * time.Second}}
	switch {
	case a.TLS:
		return imapclient.DialTLS(a.Host, options)
	case a.here():
		return imapclient.DialInsecure(a.Host, options)
	}
	return imapclient.DialStartTLS(a.Host, options)
}

// within closes the connection on a server that goes silent, which ends work.
func within(c *imapclient.Client, work func() error) error {
	t := time.AfterFunc(patience, func() { c.Close() })
	defer t.Stop()
	return work()
}

// look lists the mails with their sizes, without opening any.
func look(c *imapclient.Client, o Options) (found []*imapclient.FetchMessageBuffer, err error) {
	err = within(c, func() error {
		s, err := c.UIDSearch(&imap.SearchCriteria{Since: o.Since}, nil).Wait()
		if err != nil {
			return err
		}
		uids := s.AllUIDs()
		if len(uids) == 0 {
			return nil
		}
		found, err = c.Fetch(imap.UIDSetNum(uids...), &imap.FetchOptions{UID: true, RFC822Size: true}).Collect()
		return err
	})
	return found, err
}

// body fetches one mail, at most limit bytes of it, and leaves it unread.
func body(c *imapclient.Client, uid imap.UID, limit int64) (data []byte, err error) {
	err = within(c, func() error {
		cmd := c.Fetch(imap.UIDSetNum(uid), &imap.FetchOptions{UID: true, BodySection: []*imap.FetchItemBodySection{{Peek: true}}})
		for m := cmd.Next(); m != nil; m = cmd.Next() {
			for item := m.Next(); item != nil; item = m.Next() {
				part, ok := item.(imapclient.FetchItemDataBodySection)
				if !ok || part.Literal == nil || data != nil {
					continue
				}
				if data, err = io.ReadAll(io.LimitReader(part.Literal, limit)); err != nil {
					cmd.Close()
					return err
				}
			}
		}
		return cmd.Close()
	})
	return data, err
}
