package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"kg/internal/present/presenttest"
)

// The scripts in testdata/script are the manual of the commands. Beside what
// testscript brings, they use
//
//	kg ARGUMENTS           runs the program
//	exits STATUS COMMAND   runs a command that has to end with the status
//	small                  puts a library of the notes in testdata/notes in the home
//	damage HOW FILE        removes, cuts, alters or replaces a file of the library
//	latin1 FROM TO         writes a file anew in ISO 8859-1
//	json PATH [VALUE]      looks a value up in what was printed; ! for none
//	fits                   no printed line is wider than 80, ends in spaces or
//	                       holds a control character; the places of testdata and of the script on this machine are left out
//
// HOME and KG_HOME are folders of the script's own; NOTES is testdata/notes.
func TestScriptsPrintWhatTheManualSays(t *testing.T) {
	notes, err := filepath.Abs(filepath.Join("testdata", "notes"))
	if err != nil {
		t.Fatal(err)
	}
	folder, err := programFolder()
	if err != nil {
		t.Fatal(err)
	}
	program := filepath.Join(folder, executable)
	small := sync.OnceValues(func() (string, error) { return smallLibrary(program, notes) })
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Setup: func(env *testscript.Env) error {
			for name, value := range map[string]string{
				"HOME": filepath.Join(env.WorkDir, "home"), "KG_HOME": filepath.Join(env.WorkDir, "kg"),
				"XDG_DATA_HOME": "", "NOTES": notes, "TZ": "UTC",
				"PATH": folder + string(os.PathListSeparator) + env.Getenv("PATH"),
			} {
				env.Setenv(name, value)
			}
			return os.Mkdir(env.Getenv("HOME"), 0o755)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"kg": func(ts *testscript.TestScript, neg bool, args []string) {
				if err := ts.Exec(program, args...); (err != nil) != neg {
					ts.Fatalf("kg %s: %v", strings.Join(args, " "), err)
				}
			},
			"exits": exits,
			"small": func(ts *testscript.TestScript, _ bool, _ []string) {
				home, err := small()
				ts.Check(err)
				ts.Check(copyHome(ts.Getenv("KG_HOME"), home))
			},
			"damage": damage,
			"latin1": latin1,
			"json":   inJSON,
			"fits": func(ts *testscript.TestScript, _ bool, _ []string) {
				for _, fault := range presenttest.LayoutFaults(strings.NewReplacer(notes, "notes", ts.Getenv("WORK")+"/", "").Replace(ts.ReadFile("stdout"))) {
					ts.Fatalf("%s", fault)
				}
			},
		},
	})
}

// smallLibrary makes a home with a library of some notes. It is built by the
// program that the scripts call, since a library that another program has built
// is built anew.
func smallLibrary(program, notes string) (string, error) {
	home, err := sharedFolder()
	if err != nil {
		return "", err
	}
	c := exec.Command(program, "--home", home, "build", "--no-shipped", "--notes", notes)
	if out, err := c.CombinedOutput(); err != nil {
		return "", fmt.Errorf("%s: %w: %s", c, err, out)
	}
	return home, nil
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits STATUS COMMAND")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	status := 0
	var exit *exec.ExitError
	err = ts.Exec(args[1], args[2:]...)
	if errors.As(err, &exit) {
		status = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if status != want {
		ts.Fatalf("status %d, want %d", status, want)
	}
}

func damage(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: damage HOW FILE")
	}
	folder, err := generationFolder(ts.Getenv("KG_HOME"))
	ts.Check(err)
	files, err := filepath.Glob(filepath.Join(folder, filepath.FromSlash(args[1])))
	ts.Check(err)
	if len(files) != 1 {
		ts.Fatalf("%d files are called %s", len(files), args[1])
	}
	file := files[0]
	switch args[0] {
	case "remove":
		err = os.Remove(file)
	case "cut":
		err = os.Truncate(file, 1000)
	case "alter": // one byte in the middle; the size stays
		var content []byte
		if content, err = os.ReadFile(file); err == nil {
			content[len(content)/2] ^= 0xff
			err = os.WriteFile(file, content, 0o644)
		}
	case "replace":
		err = os.WriteFile(file, []byte("what is this\n"), 0o644)
	default:
		ts.Fatalf("damage: remove, cut, alter or replace")
	}
	ts.Check(err)
}

func latin1(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: latin1 FROM TO")
	}
	var out []byte
	for _, r := range ts.ReadFile(args[0]) {
		out = append(out, byte(r))
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), out, 0o644))
}

func inJSON(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) == 0 || len(args) > 2 {
		ts.Fatalf("usage: json PATH [VALUE]")
	}
	var value any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile("stdout")), &value))
	for _, step := range strings.Split(args[0], ".") {
		var ok bool
		switch in := value.(type) {
		case map[string]any:
			value, ok = in[step]
		case []any:
			i, err := strconv.Atoi(step)
			if ok = err == nil && i < len(in); ok {
				value = in[i]
			}
		}
		if !ok {
			if neg {
				return
			}
			ts.Fatalf("there is no %s in the JSON", args[0])
		}
	}
	got := kindOfJSON(value)
	if s, err := json.Marshal(value); err == nil && len(args) == 2 && !strings.HasPrefix(args[1], ":") {
		if got = string(s); strings.HasPrefix(got, `"`) {
			got = value.(string)
		}
	}
	if len(args) == 1 && neg {
		ts.Fatalf("%s is in the JSON", args[0])
	}
	if len(args) == 2 && (got == args[1]) == neg {
		ts.Fatalf("%s is %s", args[0], got)
	}
}

// kindOfJSON names the type of a value: scripts ask for it with a colon.
func kindOfJSON(v any) string {
	switch v.(type) {
	case string:
		return ":text"
	case float64:
		return ":number"
	case bool:
		return ":bool"
	case []any:
		return ":list"
	case map[string]any:
		return ":object"
	}
	return ":null"
}
