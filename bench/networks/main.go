// Command networks works out all posteriors of published networks, and prints
// time, memory and the largest difference from the published figures. Where java
// and the Debian package weka are installed, its junction tree does the same work
// in the same run (as an oracle: it is run, nothing of it is part of this).
//
//	go run ./bench/networks ../shared/checks
package main

import (
	"bufio"
	"context"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"kg/bench/bif"
	"kg/bench/discrete"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: networks FOLDER (with posteriors.json and networks/*.bif)")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "networks:", err)
		os.Exit(1)
	}
}

// published is a network with evidence and what is known to follow.
type published struct {
	Network    string                        `json:"network"`
	Evidence   map[string]string             `json:"evidence"`
	Posteriors map[string]map[string]float64 `json:"posteriors"`
}

func run(folder string) error {
	text, err := os.ReadFile(filepath.Join(folder, "posteriors.json"))
	if err != nil {
		return err
	}
	var checks []published
	if err := json.Unmarshal(text, &checks); err != nil {
		return fmt.Errorf("reading the posteriors: %w", err)
	}
	known := map[string]bool{}
	for _, c := range checks {
		known[c.Network] = true
	}
	files, err := filepath.Glob(filepath.Join(folder, "networks", "*.bif"))
	if err != nil {
		return err
	}
	for _, f := range files {
		if name := strings.TrimSuffix(filepath.Base(f), ".bif"); !known[name] {
			checks = append(checks, published{Network: name})
		}
	}
	oracle, err := newOracle()
	if err != nil {
		fmt.Println("without weka:", err)
	}
	if oracle != nil {
		defer os.RemoveAll(oracle.folder)
	}
	table := tabwriter.NewWriter(os.Stdout, 0, 4, 2, ' ', 0)
	fmt.Fprintln(table, "network\tevidence\tnodes\twidth\tms\tMiB allocated\toff the published\tweka ms\tratio\toff weka\t")
	for _, c := range checks {
		if err := c.compare(table, folder, oracle); err != nil {
			return fmt.Errorf("%s: %w", c.Network, err)
		}
	}
	return table.Flush()
}

func (c published) compare(w *tabwriter.Writer, folder string, oracle *oracle) error {
	text, err := os.ReadFile(filepath.Join(folder, "networks", c.Network+".bif"))
	if err != nil {
		return err
	}
	n, err := bif.Parse(string(text))
	if err != nil {
		return err
	}
	at := map[string]int{}
	for i, node := range n.Nodes {
		at[node.Name] = i
	}
	var findings []discrete.Finding
	var evidence []string
	for _, name := range slices.Sorted(maps.Keys(c.Evidence)) {
		i := at[name]
		findings = append(findings, n.Seen(i, slices.Index(n.Nodes[i].States, c.Evidence[name])))
		evidence = append(evidence, name+"="+c.Evidence[name])
	}
	p, took, allocated, err := infer(n, findings)
	if err != nil {
		return err
	}
	off := 0.0
	for name, states := range c.Posteriors {
		i := at[name]
		for state, want := range states {
			off = math.Max(off, math.Abs(want-p.Marginals[i][slices.Index(n.Nodes[i].States, state)]))
		}
	}
	against := "-"
	if len(c.Posteriors) > 0 {
		against = fmt.Sprintf("%.1e", off)
	}
	fmt.Fprintf(w, "%s\t%d\t%d\t%d\t%.3f\t%.1f\t%s\t", c.Network, len(findings), len(n.Nodes), p.Width, took.Seconds()*1000, allocated, against)
	if oracle == nil {
		fmt.Fprintln(w, "\t\t\t")
		return nil
	}
	theirs, margins, err := oracle.infer(n, evidence)
	if err != nil {
		fmt.Fprintf(w, "%v\t\t\t\n", err)
		return nil
	}
	apart := 0.0
	for name, states := range margins {
		for s, x := range states {
			apart = math.Max(apart, math.Abs(x-p.Marginals[at[name]][s]))
		}
	}
	fmt.Fprintf(w, "%.3f\t%.1f\t%.1e\t\n", theirs.Seconds()*1000, theirs.Seconds()/took.Seconds(), apart)
	return nil
}

// infer takes the best of some runs.
func infer(n discrete.Network, findings []discrete.Finding) (p discrete.Posterior, best time.Duration, mib float64, err error) {
	var before, after runtime.MemStats
	for run := 0; run < 20 && (run < 2 || best < 500*time.Millisecond); run++ {
		runtime.ReadMemStats(&before)
		began := time.Now()
		if p, err = n.Infer(findings); err != nil {
			return p, 0, 0, err
		}
		took := time.Since(began)
		runtime.ReadMemStats(&after)
		if run == 0 || took < best {
			best = took
		}
	}
	return p, best, float64(after.TotalAlloc-before.TotalAlloc) / (1 << 20), nil
}

// oracle runs weka.
type oracle struct{ folder string }

const jar = "/usr/share/java/weka.jar"

func newOracle() (*oracle, error) {
	if _, err := os.Stat(jar); err != nil {
		return nil, fmt.Errorf("install the Debian packages weka and default-jdk-headless to compare with it")
	}
	folder, err := os.MkdirTemp("", "networks")
	if err != nil {
		return nil, err
	}
	source := filepath.Join("bench", "networks", "Oracle.java")
	if out, err := exec.Command("javac", "-cp", jar, "-d", folder, source).CombinedOutput(); err != nil {
		os.RemoveAll(folder)
		return nil, fmt.Errorf("compiling %s: %w: %s", source, err, out)
	}
	return &oracle{folder}, nil
}

// patience is how long weka may take for one network.
const patience = time.Minute

func (o *oracle) infer(n discrete.Network, evidence []string) (time.Duration, map[string][]float64, error) {
	file := filepath.Join(o.folder, "network.xml")
	if err := os.WriteFile(file, interchange(n), 0o644); err != nil {
		return 0, nil, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), patience)
	defer cancel()
	args := append([]string{"-Xmx6g", "-cp", jar + ":" + o.folder, "Oracle", file}, evidence...)
	out, err := exec.CommandContext(ctx, "java", args...).Output()
	if ctx.Err() != nil {
		return 0, nil, fmt.Errorf("more than %s", patience)
	}
	if err != nil {
		return 0, nil, fmt.Errorf("failed: %w", err)
	}
	var took time.Duration
	margins := map[string][]float64{}
	lines := bufio.NewScanner(strings.NewReader(string(out)))
	lines.Buffer(nil, 1<<20)
	for lines.Scan() {
		words := strings.Fields(lines.Text())
		if len(words) == 2 && words[0] == "ns" {
			ns, err := strconv.ParseInt(words[1], 10, 64)
			if err != nil {
				return 0, nil, err
			}
			took = time.Duration(ns)
			continue
		}
		for _, word := range words[1:] {
			x, err := strconv.ParseFloat(word, 64)
			if err != nil {
				return 0, nil, err
			}
			margins[words[0]] = append(margins[words[0]], x)
		}
	}
	return took, margins, lines.Err()
}

// interchange is a network in the XML form of the Interchange Format (0.3).
func interchange(n discrete.Network) []byte {
	var b strings.Builder
	text := func(s string) string {
		var e strings.Builder
		if err := xml.EscapeText(&e, []byte(s)); err != nil {
			return ""
		}
		return e.String()
	}
	b.WriteString("<?xml version=\"1.0\"?>\n<BIF VERSION=\"0.3\"><NETWORK><NAME>network</NAME>\n")
	for _, node := range n.Nodes {
		fmt.Fprintf(&b, "<VARIABLE TYPE=\"nature\"><NAME>%s</NAME>", text(node.Name))
		for _, s := range node.States {
			fmt.Fprintf(&b, "<OUTCOME>%s</OUTCOME>", text(s))
		}
		b.WriteString("</VARIABLE>\n")
	}
	for _, node := range n.Nodes {
		fmt.Fprintf(&b, "<DEFINITION><FOR>%s</FOR>", text(node.Name))
		for _, parent := range node.Parents {
			fmt.Fprintf(&b, "<GIVEN>%s</GIVEN>", text(n.Nodes[parent].Name))
		}
		b.WriteString("<TABLE>")
		for _, p := range node.Table {
			b.WriteString(strconv.FormatFloat(p, 'g', -1, 64) + " ")
		}
		b.WriteString("</TABLE></DEFINITION>\n")
	}
	b.WriteString("</NETWORK></BIF>\n")
	return []byte(b.String())
}
