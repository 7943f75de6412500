package note_test
import ("testing";"fmt";"kg/internal/note")
func TestZ(t *testing.T){
 for _,s:=range []string{
 "---\nname: A\ncomponent:\noccurs: 1\n---\n",
 "---\nname: A\n  b: c\n---\n",
 "---\nname: A\nalso: [a, b\nhas: x\n---\n",
 "---\nname: 'A\nalso: [a, b]\n---\n",
 "---\nname: A\n\tx: y\n---\n",
 "---\nname: A\nx\n---\n",
 "---\nname: A\nalso: @x\n---\n",
 "---\nname: A\nalso: ]\n---\n",
 "---\n]\n---\n",
 "---\nname: A\x01\n---\n",
 "---\nname: A\n- b\n---\n",
 "---\n{name: A, component: &x b, on: *x}\n---\n",
 "---\nname: A: b\n---\n",
 "---\nok: 1\nname: A: b\n---\n",
 "---\nok: 1\nfoo: *zz\n---\n",
 "---\nok: 1\nfoo: 2\n", "", "---", "---\n---", "---\n---\n", "---\n\n---\n", "---\nname: a\rcomponent: b\n---\n","---\nname: a\u2028component: b\n---\n",
 "---\nname: a\n...\ncomponent: b\n---\n",
 }{
  n,p:=note.Parse("mode/a.md",[]byte(s)); fmt.Printf("%q\n  %v\n",s,n!=nil)
  for _,q:=range p {fmt.Println("   ",q)}
 }
}
