package main

import (
	"cmp"
	"errors"
	"fmt"
	"strings"

	"github.com/alecthomas/kong"

	"gramcup/mix"
)

// mistyped says of a command line that makes no sense which word is not known,
// which is the nearest that is, and all that there are, in one line. What is
// wrong in another way is told as it came.
func mistyped(err error) string {
	parse, ok := errors.AsType[*kong.ParseError](err)
	if !ok {
		return err.Error()
	}
	node := parse.Context.Selected()
	if node == nil {
		node = parse.Context.Model.Node
	}
	said := err.Error()
	if word, found := unknown(said, "unexpected argument "); found {
		return notACommand(node, word)
	}
	if word, found := unknown(said, "unknown flag "); found {
		return notAFlag(node, word)
	}
	if strings.HasPrefix(said, "expected one of ") && len(commandsOf(node)) > 0 {
		return fmt.Sprintf("%s stands alone: behind it comes one of %s, and %s --help says what each does", node.FullPath(), mix.AndList(commandsOf(node)), node.FullPath())
	}
	if flag, rest, found := strings.Cut(said, ": expected "); found && strings.HasSuffix(rest, `"EOL" (<EOL>)`) {
		return fmt.Sprintf("nothing stands behind %s: it needs a value, and %s --help shows one", flag, node.FullPath())
	}
	return said
}

// named is a command as a person says it, without the program's own name.
func named(node *kong.Node, more ...string) string {
	return strings.TrimPrefix(strings.Join(append([]string{node.FullPath()}, more...), " "), "gramcup ")
}

// unknown is the word behind a beginning that the parser writes, without its own
// guess what was meant.
func unknown(said, beginning string) (word string, found bool) {
	word, found = strings.CutPrefix(said, beginning)
	if i := strings.LastIndex(word, ", did you mean "); i >= 0 {
		word = word[:i]
	}
	return word, found
}

func notACommand(node *kong.Node, word string) string {
	names := commandsOf(node)
	if len(names) == 0 {
		return fmt.Sprintf("%s does not know what to do with %q: %s", named(node), word, taken(node))
	}
	text := fmt.Sprintf("there is no command %q", named(node, word))
	if near := nearest(word, names); near != "" {
		text += fmt.Sprintf(", the nearest is %q", named(node, near))
	} else if near := below(node, word); near != "" {
		text += fmt.Sprintf(", but there is %q", near)
	}
	return fmt.Sprintf("%s; there are %s, and %s --help says what each does", text, mix.AndList(names), node.FullPath())
}

// taken is what a command without commands takes.
func taken(node *kong.Node) string {
	var names []string
	for _, p := range node.Positional {
		names = append(names, cmp.Or(p.Tag.PlaceHolder, strings.ToUpper(p.Name)))
	}
	if len(names) == 0 {
		return fmt.Sprintf("it takes flags alone, and %s --help lists them", node.FullPath())
	}
	return fmt.Sprintf("it takes %s and flags, and %s --help lists them", strings.Join(names, " "), node.FullPath())
}

func notAFlag(node *kong.Node, word string) string {
	var names, typed []string
	for _, group := range node.AllFlags(true) {
		for _, f := range group {
			names, typed = append(names, "--"+f.Name), append(typed, "--"+f.Name)
			if f.Tag.Negatable != "" {
				typed = append(typed, "--no-"+f.Name)
			}
		}
	}
	text := fmt.Sprintf("%s has no flag %s", named(node), word)
	if near := nearest(word, typed); near != "" {
		text += ", the nearest is " + near
	} else if known := having(node, strings.TrimLeft(word, "-")); len(known) > 0 {
		text += ", it belongs behind " + mix.AndList(known)
	}
	return fmt.Sprintf("%s; there are %s, and %s --help says what each is for", text, mix.AndList(names), node.FullPath())
}

func commandsOf(node *kong.Node) (names []string) {
	for _, child := range node.Children {
		if child.Type == kong.CommandNode && !child.Hidden {
			names = append(names, child.Name)
		}
	}
	return names
}

// below is a command of that very name one word further in.
func below(node *kong.Node, word string) string {
	for _, child := range node.Children {
		for _, name := range commandsOf(child) {
			if name == word {
				return named(child, name)
			}
		}
	}
	return ""
}

// having are the commands further in that have a flag of that very name.
func having(node *kong.Node, flag string) (names []string) {
	for _, child := range node.Children {
		for _, f := range child.Flags {
			if f.Name == flag {
				names = append(names, named(child))
			}
		}
		names = append(names, having(child, flag)...)
	}
	return names
}

// nearest is the word that takes the fewest slips of a hand to become the typed
// one, the first of several; "" where that would be more than half of it.
func nearest(typed string, words []string) (near string) {
	least := len([]rune(strings.TrimLeft(typed, "-")))/2 + 1
	for _, w := range words {
		if n := slips(typed, w); n < least {
			near, least = w, n
		}
	}
	return near
}

// slips counts what lies between two words: a letter too many, one missing,
// another in its place, or two that changed places.
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			other := 1
			if x[i-1] == y[j-1] {
				other = 0
			}
			n := min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+other)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				n = min(n, rows[i-2][j-2]+1)
			}
			rows[i][j] = n
		}
	}
	return rows[len(x)][len(y)]
}
