package bringup

import (
	"fmt"
	"time"

	"firstfix/internal/judge/rulebook"
	"firstfix/internal/judge/rules/blanktext"
	"firstfix/internal/judge/rules/cnmi"
	"firstfix/internal/judge/rules/missingend"
	"firstfix/internal/judge/rules/smsprompt"
	"firstfix/internal/judge/rules/storefull"
	"firstfix/internal/judge/rules/swallowed"
	"firstfix/internal/judge/rules/textloop"
	"firstfix/internal/judge/verdict"
	"firstfix/internal/script/procedure"
	"firstfix/internal/wire/at"
)

// messages: texts leave readable, and arrive.
var messages = &Check{Link: Messages, Title: "Messages", Needs: []string{Network}, Ask: askMessages, Verdict: judgeMessages,
	Rules: []*rulebook.Rule{blanktext.Rule, swallowed.Rule, missingend.Rule, smsprompt.Rule, storefull.Rule, cnmi.Rule, textloop.Rule}}

// arriveFor is how long a text to the own number may be under way: most need seconds;
// a minute is common practice, no source.
const arriveFor = 60 * time.Second

func askMessages(q *Questions) *procedure.Procedure {
	t := &q.Facts.Texts
	if q.Round == 0 {
		return ask("message-settings", try("AT+CMGF?"), try("AT+CSCS?"), try("AT+CSMP?"), try("AT+CSCA?"), try("AT+CPMS?"), try("AT+CNMI?"), try("AT+CNUM"))
	}
	switch {
	case q.Done["sent"] == 0:
		q.Done["sent"]++
		number := q.ownNumber()
		if !q.maySpend() || number == "" || !q.Options.Free && judgeMessages(q.Facts).State == verdict.Broken || !plainAlphabet(t.Alphabet) {
			return nil
		}
		q.Walk.Sent = fmt.Sprintf("firstfix test %04d", q.Options.Nonce%10000)
		return q.sendTo(number, q.Walk.Sent)
	case q.Walk.Sent == "" || !t.Accepted.Is():
		return nil
	case t.Own.Is() && t.OwnPlace != "" && q.Done["deleted"] == 0:
		q.Done["deleted"]++ // our own test text does not stay on the person's card
		return ask("delete-own", try("AT+CMGD="+t.OwnPlace))
	case t.Own.Is(), t.OwnChanged.Is(), q.Now.Sub(t.Accepted.Last.At) > arriveFor:
		return nil
	}
	return ask("arrival", procedure.Step{Name: "wait", PauseMS: 4000}, procedure.Step{Send: `AT+CMGL="REC UNREAD"`, MaxWaitMS: 25_000, On: goOn})
}

// plainAlphabet says that numbers and texts are written as they are: 27.007 5.5.
func plainAlphabet(cscs string) bool { return cscs == "" || cscs == "GSM" || cscs == "IRA" }

func judgeMessages(f *Facts) Judgement {
	t := &f.Texts
	if j, ok := judgeTextSettings(f); ok {
		return j
	}
	switch {
	case t.Unreadable.Is():
		j := f.is(verdict.Broken, "a text left so that nobody can read it: "+t.Problem, show{t.Unreadable.First, "not readable at the other end"}, show{t.CodingAt, "the coding in force"})
		j.Quotes = []string{t.problemQuotes}
		return j
	case t.OwnChanged.Is() && !t.Own.Is():
		j := f.is(verdict.Broken, "our own text came back as "+quoteShort(t.OwnReads), show{t.OwnChanged.First, "not what was sent"}, show{t.CodingAt, "the coding in force"})
		j.Quotes = []string{short(t.OwnReads)}
		return j
	case t.Refused.Is() && !t.Accepted.Is():
		return f.is(verdict.Broken, fmt.Sprintf("%s and none was accepted%s", plural(max(t.Sends, t.Refused.Times), "text was sent", "texts were sent"), comma(f.refusal())), show{t.Refused.First, "refused"})
	case t.NoPrompt.Is() && !t.Accepted.Is():
		return f.is(verdict.Broken, "the module does not take a text"+comma(f.refusal()), show{t.NoPrompt.First, "an error instead of the prompt"})
	case (t.NoWord.Is() || f.Line.OpenText.Is()) && !t.Accepted.Is():
		return f.is(verdict.Broken, "a text was sent and no result came", show{t.NoWord.First, "no result"}, show{f.Line.OpenText.First, "no Ctrl-Z behind it"})
	}
	if (t.Refused.Is() || t.NoPrompt.Is() || t.NoWord.Is()) && t.Accepted.Is() {
		failed := t.Refused.Times + t.NoPrompt.Times + t.NoWord.Times
		return f.is(verdict.Weak, fmt.Sprintf("%s accepted, %d not%s", plural(t.Accepted.Times, "text", "texts"), failed, comma(f.refusal())),
			show{t.Refused.First, "refused"}, show{t.NoPrompt.First, "refused"}, show{t.NoWord.First, "no result"}, show{t.Accepted.First, "accepted"})
	}
	return judgeTexts(f)
}

// judgeTextSettings: settings that spoil every text.
func judgeTextSettings(f *Facts) (Judgement, bool) {
	t := &f.Texts
	if centre, ok := t.Centre.Get(); ok && centre == "" && !t.Accepted.Is() {
		return f.is(verdict.Broken, "no service-centre number is set, so no text can leave", show{t.CentreAt, "empty, 27.005 3.3.1"}, show{f.CMS(330).First, "refused for it"}), true
	}
	if s := f.CMS(330); s.Is() && !t.Accepted.Is() {
		return f.is(verdict.Broken, "texts are refused: the service-centre number is missing or wrong", show{s.First, "27.005 3.2.5"}), true
	}
	plain, known := t.Plain()
	if known && !plain && (t.InText || !t.Mode.IsKnown()) && plainAlphabet(t.Alphabet) {
		return f.is(verdict.Broken, fmt.Sprintf("coding %d is set, so plain letters arrive as other signs or blank", t.Coding.Or(0)),
			show{t.CodingAt, "fourth value, 23.038 4"}, show{t.Unreadable.First, "a text sent with it"}, show{t.OwnChanged.First, "what came back"}), true
	}
	if t.Full() {
		return f.is(verdict.Broken, fmt.Sprintf("the message store is full (%d of %d), so nothing new arrives", t.Used.Or(0), t.Total.Or(0)), show{t.StoreAt, "used equals total, 27.005 3.2.2"}), true
	}
	if s := f.CMS(322); s.Is() {
		return f.is(verdict.Broken, "the module says its message store is full", show{s.First, "27.005 3.2.5"}), true
	}
	return Judgement{}, false
}

// judgeTexts: nothing speaks against them. Did one go, did one come?
func judgeTexts(f *Facts) Judgement {
	t := &f.Texts
	switch {
	case t.Own.Is():
		return f.is(verdict.Holds, "a text to the own number came back word for word", show{t.Accepted.First, "accepted"}, show{t.Own.First, "and back"})
	case f.Walk != nil && f.Walk.Sent != "" && t.Accepted.Is():
		return f.is(verdict.Weak, fmt.Sprintf("a text to the own number was accepted and did not come back within %.0f s", arriveFor.Seconds()), show{t.Accepted.First, "accepted"})
	case t.Accepted.Is():
		return f.is(verdict.Holds, plural(t.Accepted.Times, "text", "texts")+" accepted", show{t.Accepted.First, "accepted"})
	case t.Arrived.Is():
		return f.is(verdict.Holds, plural(t.Arrived.Times, "text", "texts")+" arrived; none was sent", show{t.Arrived.First, "arrived"})
	case t.Centre.IsKnown() || t.Coding.IsKnown() || t.Used.IsKnown():
		why := ""
		if f.Walk != nil && f.Walk.Cautious {
			why = ", for nothing may be spent"
		}
		return f.is(verdict.NotShown, "the settings fit; no text was sent"+why, show{t.CentreAt, "service centre"}, show{t.CodingAt, "coding"}, show{t.StoreAt, "store"})
	}
	return notShown("no text was sent or received")
}

// refusal names the errors that texts met.
func (f *Facts) refusal() string {
	for i := range f.Errors {
		if e := &f.Errors[i]; e.Kind == at.CMSError && e.Code >= 0 {
			if means, _, ok := at.CMSMeaning(e.Code); ok {
				return fmt.Sprintf("+CMS ERROR: %d (%s)", e.Code, means)
			}
			return fmt.Sprintf("+CMS ERROR: %d", e.Code)
		}
	}
	return ""
}
