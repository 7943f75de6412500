// Package bif reads discrete Bayesian networks in the Interchange Format (BIF)
// in which published example networks are passed around. It is for checks and
// benchmarks; the program itself does not use it.
package bif

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"kg/bench/discrete"
)

// Parse reads a network. Errors name the line.
func Parse(text string) (discrete.Network, error) {
	p := &parser{index: map[string]int{}}
	p.scan(text)
	for p.more() {
		var err error
		switch word := p.take(); word {
		case "network":
			p.skipBlock()
		case "variable":
			err = p.variable()
		case "probability":
			err = p.probability()
		default:
			err = fmt.Errorf("%q is not the begin of a block", word)
		}
		if err != nil {
			return discrete.Network{}, fmt.Errorf("line %d: %w", p.line(), err)
		}
	}
	return p.network, p.network.Check()
}

type token struct {
	text string
	line int
}

type parser struct {
	tokens  []token
	at      int
	network discrete.Network
	index   map[string]int
}

const marks = "{}()[]|,;"

func (p *parser) scan(text string) {
	for i, line := range strings.Split(text, "\n") {
		for line != "" {
			switch end := strings.IndexAny(line, marks+" \t\r"); {
			case end < 0:
				p.tokens = append(p.tokens, token{line, i + 1})
				line = ""
			case end == 0:
				if strings.ContainsRune(marks, rune(line[0])) {
					p.tokens = append(p.tokens, token{line[:1], i + 1})
				}
				line = line[1:]
			default:
				p.tokens = append(p.tokens, token{line[:end], i + 1})
				line = line[end:]
			}
		}
	}
}

func (p *parser) more() bool { return p.at < len(p.tokens) }

func (p *parser) take() string {
	if !p.more() {
		return ""
	}
	p.at++
	return p.tokens[p.at-1].text
}

func (p *parser) line() int {
	if p.at == 0 || len(p.tokens) == 0 {
		return 1
	}
	return p.tokens[p.at-1].line
}

// until returns the tokens before a mark, without commas.
func (p *parser) until(mark string) []string {
	var out []string
	for p.more() {
		switch t := p.take(); t {
		case mark:
			return out
		case ",":
		default:
			out = append(out, t)
		}
	}
	return out
}

func (p *parser) skipBlock() { p.until("}") }

func (p *parser) variable() error {
	name := p.take()
	head := p.until("{")
	body := p.until("{")
	if len(body) == 0 || body[0] != "type" {
		return fmt.Errorf("variable %s has no type", name)
	}
	states := p.until("}")
	p.skipBlock()
	if len(head) > 0 {
		return fmt.Errorf("variable %s: what is %q", name, head)
	}
	if _, known := p.index[name]; known {
		return fmt.Errorf("variable %s stands in the file twice", name)
	}
	p.index[name] = len(p.network.Nodes)
	p.network.Nodes = append(p.network.Nodes, discrete.Node{Name: name, States: states})
	return nil
}

func (p *parser) probability() error {
	p.take() // (
	family := p.until(")")
	if len(family) == 0 {
		return fmt.Errorf("a probability of nothing")
	}
	var nodes []int
	for _, name := range family {
		if name == "|" {
			continue
		}
		i, known := p.index[name]
		if !known {
			return fmt.Errorf("there is no variable %s", name)
		}
		nodes = append(nodes, i)
	}
	node := &p.network.Nodes[nodes[0]]
	node.Parents = nodes[1:]
	rows := 1
	for _, i := range node.Parents {
		rows *= len(p.network.Nodes[i].States)
	}
	node.Table = make([]float64, rows*len(node.States))
	p.take() // {
	for p.more() {
		row := 0
		switch t := p.take(); t {
		case "}":
			return nil
		case "table":
		case "(":
			for k, state := range p.until(")") {
				if k >= len(node.Parents) {
					return fmt.Errorf("%s has no so many parents", node.Name)
				}
				parent := p.network.Nodes[node.Parents[k]]
				at := slices.Index(parent.States, state)
				if at < 0 {
					return fmt.Errorf("%s has no state %s", parent.Name, state)
				}
				row = row*len(parent.States) + at
			}
		default:
			return fmt.Errorf("%s: what is %q", node.Name, t)
		}
		numbers := p.until(";")
		if len(numbers) != len(node.States) {
			return fmt.Errorf("%s has %d states, a row has %d numbers", node.Name, len(node.States), len(numbers))
		}
		for k, number := range numbers {
			x, err := strconv.ParseFloat(number, 64)
			if err != nil {
				return fmt.Errorf("%s: %w", node.Name, err)
			}
			node.Table[row*len(node.States)+k] = x
		}
	}
	return nil
}
