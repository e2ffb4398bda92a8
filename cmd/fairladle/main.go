// Command fairladle runs community recipe challenges: it serves the site,
// fills a demonstration, and checks what the site publishes.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	_ "time/tzdata" // challenges have time zones; small systems have no table of them

	"fairladle/web/pdf"
)

// A command is one subcommand: a line of help, and what it does.
type command struct {
	name, help string
	run        func(ctx context.Context, args []string, out io.Writer) error
}

var commands = []command{
	{"demo", "try it: a server on a temporary folder, filled with an invented community", demoCommand},
	{"serve", "run a server on a data folder", serveCommand},
	{"host", "list hosts, let one in who is locked out, add one, or move the site's address", hostCommand},
	{"healthy", "ask a running server whether it answers", healthyCommand},
	{"read", "print what is understood of recipes, without a server", readCommand},
	{"import", "bring recipes in from mail and files, with a preview", importCommand},
	{"plan", "plan the cooking of recipes for one serving time, without a server", planCommand},
	{"benchmark", "solve published scheduling problems (PSPLIB, job shop) and print how well", benchmarkCommand},
	{"backup", "copy everything to one file while the server runs, and check it", backupCommand},
	{"restore", "put a copy into an empty data folder", restoreCommand},
	{"check", "check a data folder and every ledger in it", checkCommand},
	{"ledger", "say for each line of a data folder's ledgers whether it holds: ledger check", ledgerCommand},
	{"export", "copy what a challenge has published to a static site", exportCommand},
	{"bench", "measure this machine with it: pages, entries, ballots, memory, start", benchCommand},
	{"verify", "check draw records and entry slips, offline", verifyCommand},
}

// errFailed ends the program with status 1 after everything has been said.
var errFailed = errors.New("failed")

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	err := run(ctx, os.Args[1:], os.Stdout)
	switch {
	case err == nil, errors.Is(err, flag.ErrHelp):
	case errors.Is(err, errFailed):
		os.Exit(1)
	default:
		fmt.Fprintln(os.Stderr, "fairladle:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, args []string, out io.Writer) error {
	if len(args) > 0 && args[0] == pdf.Command { // for the program itself: see pdf.Apart
		return pdf.Serve(os.Stdin, out)
	}
	if len(args) > 0 {
		for _, c := range commands {
			if c.name == args[0] {
				return c.run(ctx, args[1:], out)
			}
		}
	}
	if len(args) == 0 || args[0] == "help" || args[0] == "-h" || args[0] == "--help" {
		usage(out)
		return nil
	}
	usage(out)
	return fmt.Errorf("there is no command %q", args[0])
}

func usage(out io.Writer) {
	fmt.Fprintln(out, "fairladle runs community recipe challenges.")
	fmt.Fprintln(out)
	for _, c := range commands {
		fmt.Fprintf(out, "  fairladle %-8s %s\n", c.name, c.help)
	}
	fmt.Fprintln(out, "\nfairladle COMMAND -h lists the flags of a command.")
}

// flags makes a flag set that speaks to out.
func flags(name string, out io.Writer) *flag.FlagSet {
	f := flag.NewFlagSet("fairladle "+name, flag.ContinueOnError)
	f.SetOutput(out)
	return f
}
