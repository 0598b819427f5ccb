/* A serial line at 9600 baud worked bit by bit, as boards with one USART do: it sends on
 * PD3 with delays and receives on PD2 with a pin-change interrupt that waits out the
 * character. It asks "AT" every 200 ms, counts the answers and tells how many there
 * were on the USART.
 */
#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/delay.h>

#define BIT_US 104.1667

static volatile char ring[32];
static volatile uint8_t in, out;

ISR(PCINT2_vect)
{
	if (PIND & 1 << 2)
		return;
	uint8_t v = 0;
	_delay_us(BIT_US * 1.5 - 6);
	for (uint8_t i = 8; i; i--) {
		v >>= 1;
		if (PIND & 1 << 2)
			v |= 0x80;
		_delay_us(BIT_US - 0.7);
	}
	ring[in++ & 31] = v;
	PCIFR = 1 << 2;
}

static void put(uint8_t c)
{
	uint8_t s = SREG;
	cli();
	PORTD &= ~(1 << 3);
	_delay_us(BIT_US - 0.6);
	for (uint8_t i = 8; i; i--, c >>= 1) {
		if (c & 1)
			PORTD |= 1 << 3;
		else
			PORTD &= ~(1 << 3);
		_delay_us(BIT_US - 0.75);
	}
	PORTD |= 1 << 3;
	SREG = s;
	_delay_us(BIT_US);
}

static void say(char c)
{
	while (!(UCSR0A & 1 << UDRE0))
		;
	UDR0 = c;
}

int main(void)
{
	uint8_t answers = 0;
	PORTD = 1 << 2 | 1 << 3;
	DDRD = 1 << 3;
	PCMSK2 = 1 << 2;
	PCICR = 1 << 2;
	UBRR0 = 8;
	UCSR0B = 1 << TXEN0;
	sei();
	_delay_ms(50);
	for (;;) {
		put('A');
		put('T');
		put('\r');
		_delay_ms(180);
		uint8_t ok = 0;
		while (out != in) {
			char c = ring[out++ & 31];
			if (c == 'O')
				ok = 1;
			if (c == 'K' && ok)
				answers++;
		}
		say('0' + answers % 10);
	}
}
