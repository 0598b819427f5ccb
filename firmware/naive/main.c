/* A tracker for a trailer, as one writes it on the first evening.
 *
 * The module hangs on PD2 (what it says) and PD3 (what we say), worked bit by bit at
 * 9600 baud. Every answer gets a second to come, and is not looked at. Every 20 s the
 * position is asked for, and what stands in the answer is sent, whatever it is.
 *
 * This is not a good example. It is here to be found out.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <string.h>
#include <util/delay.h>

#define HEAR 2
#define SAY 3
#define BIT_US 104.1667

#define RECIPIENT "+12025550143"

static char answer[96];
static volatile unsigned char length;

/* A start bit: wait the character out and keep it. */
ISR(PCINT2_vect)
{
	unsigned char v = 0;
	if (PIND & 1 << HEAR)
		return;
	_delay_us(BIT_US * 1.5 - 6);
	for (unsigned char i = 8; i; i--) {
		v >>= 1;
		if (PIND & 1 << HEAR)
			v |= 0x80;
		_delay_us(BIT_US - 0.7);
	}
	if (length < sizeof answer - 1)
		answer[length++] = v;
	PCIFR = 1 << PCIF2;
}

static void put(char c)
{
	cli();
	PORTD &= ~(1 << SAY);
	_delay_us(BIT_US - 0.6);
	for (unsigned char i = 8; i; i--) {
		if (c & 1)
			PORTD |= 1 << SAY;
		else
			PORTD &= ~(1 << SAY);
		c >>= 1;
		_delay_us(BIT_US - 0.75);
	}
	PORTD |= 1 << SAY;
	sei();
	_delay_us(BIT_US);
}

static void say(const char *s)
{
	while (*s)
		put(*s++);
}

/* Says a command and gives the answer a second. */
static void ask(const char *s)
{
	length = 0;
	memset(answer, 0, sizeof answer);
	say(s);
	put('\r');
	_delay_ms(1000);
}

static void log_line(const char *s)
{
	for (; *s; s++) {
		while (!(UCSR0A & 1 << UDRE0))
			;
		UDR0 = *s;
	}
}

/* Copies field n of a comma-separated line. */
static void field(const char *s, unsigned char n, char *to, unsigned char size)
{
	while (n && *s)
		if (*s++ == ',')
			n--;
	while (*s && *s != ',' && *s != '\r' && --size)
		*to++ = *s++;
	*to = 0;
}

int main(void)
{
	char lat[12], lon[12];
	DDRB = 1 << 5; /* the lamp */
	PORTD = 1 << HEAR | 1 << SAY;
	DDRD = 1 << SAY;
	PCMSK2 = 1 << HEAR;
	PCICR = 1 << PCIE2;
	UBRR0 = 103; /* the log, 9600 baud */
	UCSR0B = 1 << TXEN0;
	sei();

	_delay_ms(5000); /* the module is surely awake by now */
	ask("AT");
	ask("AT+CMGF=1");
	ask("AT+DEMOGNSS=1");
	_delay_ms(15000); /* and has surely found the network */

	for (;;) {
		PORTB |= 1 << 5;
		ask("AT+DEMOPOS?");
		field(answer, 3, lat, sizeof lat);
		field(answer, 4, lon, sizeof lon);
		ask("AT+CMGS=\"" RECIPIENT "\"");
		say("trailer 07 is at ");
		say(lat);
		put(' ');
		say(lon);
		put(26);
		_delay_ms(1000);
		log_line("sent\r\n");
		PORTB &= ~(1 << 5);
		_delay_ms(16800);
	}
}
