package controller

// kind says what one decoded instruction does.
type kind uint8

// The kinds of single instructions. What sprint adds to them stands in fuse.go.
const (
	kErased  kind = iota // the word 0xFFFF: flash that was never written
	kIllegal             // a word that is no instruction of the part
	kEntry               // address 0, where restarts are counted

	kNOP
	kMOVW
	kMULS
	kMULSU
	kFMUL
	kFMULS
	kFMULSU
	kCPC
	kSBC
	kADD
	kCPSE
	kCP
	kSUB
	kADC
	kAND
	kEOR
	kOR
	kMOV
	kCPI
	kSBCI
	kSUBI
	kORI
	kANDI
	kLDI
	kLDDZ
	kLDDY
	kSTDZ
	kSTDY
	kLDS
	kLDZinc
	kLDZdec
	kLDYinc
	kLDYdec
	kLDX
	kLDXinc
	kLDXdec
	kLPM
	kLPMinc
	kELPM
	kELPMinc
	kPOP
	kSTS
	kSTZinc
	kSTZdec
	kSTYinc
	kSTYdec
	kSTX
	kSTXinc
	kSTXdec
	kPUSH
	kCOM
	kNEG
	kSWAP
	kINC
	kASR
	kLSR
	kROR
	kDEC
	kBSET
	kBCLR
	kRET
	kRETI
	kSLEEP
	kBREAK
	kWDR
	kSPM
	kIJMP
	kEIJMP
	kICALL
	kEICALL
	kJMP
	kCALL
	kADIW
	kSBIW
	kCBI
	kSBIC
	kSBI
	kSBIS
	kMUL
	kIN
	kOUT
	kRJMP
	kRCALL
	kBRBS
	kBRBC
	kBLD
	kBST
	kSBRC
	kSBRS

	kSingles // one more than the last single instruction
)

// regs says how the register fields of an instruction are meant.
type regs uint8

const (
	anyReg  regs = iota // five bits: r0 to r31
	highReg             // four bits: r16 to r31
	midReg              // three bits: r16 to r23
	pairReg             // four bits: r1:r0, r3:r2 … r31:r30
	wordReg             // two bits: r25:r24, r27:r26, r29:r28, r31:r30
)

// row is one line of the AVR instruction set manual (DS40002198): how the word is
// spelled, what it is called, what it costs on a core with a 16-bit program
// counter. A d is a bit of the destination, r of the source; K is a constant, k an
// address, A an I/O address, b a bit number, s a flag number, q a displacement.
type row struct {
	bits   string
	text   string // with the same letters for the operands
	kind   kind
	cycles uint8 // of the manual's table for AVRe; branches and skips not taken
	regs   regs
	needs  feature
}

// feature is what only some parts have.
type feature uint8

const (
	everywhere feature = 0
	hasELPM    feature = 1 << iota // more than 64 KiB of flash
	hasEIJMP                       // more than 128 KiB of flash
)

// rows is the instruction set, in the order of the words. Synonyms (CLR, LSL, ROL,
// TST, SER, SBR and the like) are the instructions they are made of.
var rows = [...]row{
	{"0000 0000 0000 0000", "nop", kNOP, 1, anyReg, 0},
	{"0000 0001 dddd rrrr", "movw d, r", kMOVW, 1, pairReg, 0},
	{"0000 0010 dddd rrrr", "muls d, r", kMULS, 2, highReg, 0},
	{"0000 0011 0ddd 0rrr", "mulsu d, r", kMULSU, 2, midReg, 0},
	{"0000 0011 0ddd 1rrr", "fmul d, r", kFMUL, 2, midReg, 0},
	{"0000 0011 1ddd 0rrr", "fmuls d, r", kFMULS, 2, midReg, 0},
	{"0000 0011 1ddd 1rrr", "fmulsu d, r", kFMULSU, 2, midReg, 0},
	{"0000 01rd dddd rrrr", "cpc d, r", kCPC, 1, anyReg, 0},
	{"0000 10rd dddd rrrr", "sbc d, r", kSBC, 1, anyReg, 0},
	{"0000 11rd dddd rrrr", "add d, r", kADD, 1, anyReg, 0},
	{"0001 00rd dddd rrrr", "cpse d, r", kCPSE, 1, anyReg, 0},
	{"0001 01rd dddd rrrr", "cp d, r", kCP, 1, anyReg, 0},
	{"0001 10rd dddd rrrr", "sub d, r", kSUB, 1, anyReg, 0},
	{"0001 11rd dddd rrrr", "adc d, r", kADC, 1, anyReg, 0},
	{"0010 00rd dddd rrrr", "and d, r", kAND, 1, anyReg, 0},
	{"0010 01rd dddd rrrr", "eor d, r", kEOR, 1, anyReg, 0},
	{"0010 10rd dddd rrrr", "or d, r", kOR, 1, anyReg, 0},
	{"0010 11rd dddd rrrr", "mov d, r", kMOV, 1, anyReg, 0},
	{"0011 KKKK dddd KKKK", "cpi d, K", kCPI, 1, highReg, 0},
	{"0100 KKKK dddd KKKK", "sbci d, K", kSBCI, 1, highReg, 0},
	{"0101 KKKK dddd KKKK", "subi d, K", kSUBI, 1, highReg, 0},
	{"0110 KKKK dddd KKKK", "ori d, K", kORI, 1, highReg, 0},
	{"0111 KKKK dddd KKKK", "andi d, K", kANDI, 1, highReg, 0},
	{"10q0 qq0d dddd 0qqq", "ldd d, Z+q", kLDDZ, 2, anyReg, 0},
	{"10q0 qq0d dddd 1qqq", "ldd d, Y+q", kLDDY, 2, anyReg, 0},
	{"10q0 qq1d dddd 0qqq", "std Z+q, d", kSTDZ, 2, anyReg, 0},
	{"10q0 qq1d dddd 1qqq", "std Y+q, d", kSTDY, 2, anyReg, 0},
	{"1001 000d dddd 0000", "lds d, k", kLDS, 2, anyReg, 0},
	{"1001 000d dddd 0001", "ld d, Z+", kLDZinc, 2, anyReg, 0},
	{"1001 000d dddd 0010", "ld d, -Z", kLDZdec, 2, anyReg, 0},
	{"1001 000d dddd 0100", "lpm d, Z", kLPM, 3, anyReg, 0},
	{"1001 000d dddd 0101", "lpm d, Z+", kLPMinc, 3, anyReg, 0},
	{"1001 000d dddd 0110", "elpm d, Z", kELPM, 3, anyReg, hasELPM},
	{"1001 000d dddd 0111", "elpm d, Z+", kELPMinc, 3, anyReg, hasELPM},
	{"1001 000d dddd 1001", "ld d, Y+", kLDYinc, 2, anyReg, 0},
	{"1001 000d dddd 1010", "ld d, -Y", kLDYdec, 2, anyReg, 0},
	{"1001 000d dddd 1100", "ld d, X", kLDX, 2, anyReg, 0},
	{"1001 000d dddd 1101", "ld d, X+", kLDXinc, 2, anyReg, 0},
	{"1001 000d dddd 1110", "ld d, -X", kLDXdec, 2, anyReg, 0},
	{"1001 000d dddd 1111", "pop d", kPOP, 2, anyReg, 0},
	{"1001 001d dddd 0000", "sts k, d", kSTS, 2, anyReg, 0},
	{"1001 001d dddd 0001", "st Z+, d", kSTZinc, 2, anyReg, 0},
	{"1001 001d dddd 0010", "st -Z, d", kSTZdec, 2, anyReg, 0},
	{"1001 001d dddd 1001", "st Y+, d", kSTYinc, 2, anyReg, 0},
	{"1001 001d dddd 1010", "st -Y, d", kSTYdec, 2, anyReg, 0},
	{"1001 001d dddd 1100", "st X, d", kSTX, 2, anyReg, 0},
	{"1001 001d dddd 1101", "st X+, d", kSTXinc, 2, anyReg, 0},
	{"1001 001d dddd 1110", "st -X, d", kSTXdec, 2, anyReg, 0},
	{"1001 001d dddd 1111", "push d", kPUSH, 2, anyReg, 0},
	{"1001 010d dddd 0000", "com d", kCOM, 1, anyReg, 0},
	{"1001 010d dddd 0001", "neg d", kNEG, 1, anyReg, 0},
	{"1001 010d dddd 0010", "swap d", kSWAP, 1, anyReg, 0},
	{"1001 010d dddd 0011", "inc d", kINC, 1, anyReg, 0},
	{"1001 010d dddd 0101", "asr d", kASR, 1, anyReg, 0},
	{"1001 010d dddd 0110", "lsr d", kLSR, 1, anyReg, 0},
	{"1001 010d dddd 0111", "ror d", kROR, 1, anyReg, 0},
	{"1001 0100 0sss 1000", "bset s", kBSET, 1, anyReg, 0},
	{"1001 0100 0000 1001", "ijmp", kIJMP, 2, anyReg, 0},
	{"1001 0100 0001 1001", "eijmp", kEIJMP, 2, anyReg, hasEIJMP},
	{"1001 010d dddd 1010", "dec d", kDEC, 1, anyReg, 0},
	{"1001 010k kkkk 110k", "jmp k", kJMP, 3, anyReg, 0},
	{"1001 010k kkkk 111k", "call k", kCALL, 4, anyReg, 0},
	{"1001 0100 1sss 1000", "bclr s", kBCLR, 1, anyReg, 0},
	{"1001 0101 0000 1000", "ret", kRET, 4, anyReg, 0},
	{"1001 0101 0000 1001", "icall", kICALL, 3, anyReg, 0},
	{"1001 0101 0001 1000", "reti", kRETI, 4, anyReg, 0},
	{"1001 0101 0001 1001", "eicall", kEICALL, 4, anyReg, hasEIJMP},
	{"1001 0101 1000 1000", "sleep", kSLEEP, 1, anyReg, 0},
	{"1001 0101 1001 1000", "break", kBREAK, 1, anyReg, 0},
	{"1001 0101 1010 1000", "wdr", kWDR, 1, anyReg, 0},
	{"1001 0101 1100 1000", "lpm", kLPM, 3, anyReg, 0},
	{"1001 0101 1101 1000", "elpm", kELPM, 3, anyReg, hasELPM},
	{"1001 0101 1110 1000", "spm", kSPM, 1, anyReg, 0},
	{"1001 0110 KKdd KKKK", "adiw d, K", kADIW, 2, wordReg, 0},
	{"1001 0111 KKdd KKKK", "sbiw d, K", kSBIW, 2, wordReg, 0},
	{"1001 1000 AAAA Abbb", "cbi A, b", kCBI, 2, anyReg, 0},
	{"1001 1001 AAAA Abbb", "sbic A, b", kSBIC, 1, anyReg, 0},
	{"1001 1010 AAAA Abbb", "sbi A, b", kSBI, 2, anyReg, 0},
	{"1001 1011 AAAA Abbb", "sbis A, b", kSBIS, 1, anyReg, 0},
	{"1001 11rd dddd rrrr", "mul d, r", kMUL, 2, anyReg, 0},
	{"1011 0AAd dddd AAAA", "in d, A", kIN, 1, anyReg, 0},
	{"1011 1AAd dddd AAAA", "out A, d", kOUT, 1, anyReg, 0},
	{"1100 kkkk kkkk kkkk", "rjmp k", kRJMP, 2, anyReg, 0},
	{"1101 kkkk kkkk kkkk", "rcall k", kRCALL, 3, anyReg, 0},
	{"1110 KKKK dddd KKKK", "ldi d, K", kLDI, 1, highReg, 0},
	{"1111 00kk kkkk ksss", "brbs s, k", kBRBS, 1, anyReg, 0},
	{"1111 01kk kkkk ksss", "brbc s, k", kBRBC, 1, anyReg, 0},
	{"1111 100d dddd 0bbb", "bld d, b", kBLD, 1, anyReg, 0},
	{"1111 101d dddd 0bbb", "bst d, b", kBST, 1, anyReg, 0},
	{"1111 110d dddd 0bbb", "sbrc d, b", kSBRC, 1, anyReg, 0},
	{"1111 111d dddd 0bbb", "sbrs d, b", kSBRS, 1, anyReg, 0},
}
