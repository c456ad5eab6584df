package takewright.demo;

import java.util.List;
import java.util.SplittableRandom;
import takewright.demo.BowedString.Bowing;
import takewright.demo.Struck.Mode;

/**
 * What the invented player plays on the wendrel: three takes, with the mishaps of a real session.
 * Always the same.
 */
final class DemoSession {
  /** Any number would do; this one gives the session that the sheet and the tests know. */
  private static final long SEED = 20_260_101;

  /** Maximum deviation of the player, in cents. */
  private static final double OFF_CENTS = 22;

  /** How far notes of one dynamic differ in level, ± dB. */
  private static final double UNEVEN_DB = 0.7;

  /** Peak levels by dynamic, dBFS: p lies 9 dB below f. */
  private static final double PIANO_DBFS = -15.5;

  private static final double MEZZO_FORTE_DBFS = -10;
  private static final double FORTE_DBFS = -6.5;
  private static final double HIT_DBFS = -10;
  private static final double TALK_DBFS = -16;
  private static final double KNOCK_DBFS = -13;

  /** A3 to A5 in steps of a tritone. */
  private static final int[] SUSTAINED = {57, 63, 69, 75, 81};

  /** A3, D4, G4, C5, F5. */
  private static final int[] SHORT = {57, 62, 67, 72, 77};

  private static final int HITS = 6;

  /** The note that was forgotten, and the one that was played again. */
  private static final int FORGOTTEN = 75;

  private static final int AGAIN = 69;

  /** A chair on a wooden floor. */
  private static final Mode[] CHAIR = {
    new Mode(83, 0.18, 1.0),
    new Mode(131, 0.14, 0.8),
    new Mode(212, 0.10, 0.7),
    new Mode(347, 0.08, 0.5),
    new Mode(610, 0.05, 0.4),
    new Mode(1240, 0.03, 0.3)
  };

  private final SplittableRandom random = new SplittableRandom(SEED);

  private DemoSession() {}

  /** The takes of the session, in the order they were recorded. */
  static List<DemoTake> play() {
    DemoSession session = new DemoSession();
    return List.of(session.sustain(), session.staccato(), session.hits());
  }

  private DemoTake sustain() {
    DemoTake take = new DemoTake("sustain.wav", Wendrel.RATE, 2, random.split());
    for (int midi : SUSTAINED) {
      sustained(take, midi, "p", 1.5, false);
      if (midi == FORGOTTEN) {
        take.forget(Truth.missing(midi, "f", 1));
        float[] talk = Babble.speak(9, Wendrel.RATE, random.split());
        take.add(new float[][] {talk}, TALK_DBFS, Truth.hazard("talk"));
        continue;
      }
      if (midi == AGAIN) {
        sustained(take, midi, "f", 0.8, true); // broken off
      }
      sustained(take, midi, "f", 1.5, false);
    }
    return take;
  }

  private DemoTake staccato() {
    DemoTake take = new DemoTake("staccato.wav", Wendrel.RATE, 1, random.split());
    for (int midi : SHORT) {
      for (int rr = 1; rr <= 2; rr++) {
        double cents = off();
        double bow = 0.15 + 0.03 * random.nextDouble();
        Bowing bowing =
            new Bowing(hertz(midi, cents), 0.22, 0.32, 0.1, 0.02, bow, 0.02, 0, 0, ring(midi));
        float[][] note = Wendrel.note(bowing, 1, random.split());
        take.add(note, MEZZO_FORTE_DBFS + uneven(), Truth.note(midi, cents, "mf", rr, false));
      }
      if (midi == SHORT[1]) {
        float[] knock = Struck.blow(CHAIR, 0.0012, 0.5, 0.4, Wendrel.RATE, random.split());
        take.add(new float[][] {knock}, KNOCK_DBFS, Truth.hazard("knock"));
      }
    }
    return take;
  }

  private DemoTake hits() {
    DemoTake take = new DemoTake("hits.wav", Wendrel.RATE, 1, random.split());
    for (int rr = 1; rr <= HITS; rr++) {
      take.add(Wendrel.tap(random.split()), HIT_DBFS + uneven(), Truth.hit(rr));
    }
    return take;
  }

  /** Loud notes are bowed faster, nearer the bridge and with more vibrato than soft ones. */
  private void sustained(DemoTake take, int midi, String dynamic, double bowS, boolean retake) {
    boolean loud = dynamic.equals("f");
    double cents = off();
    Bowing bowing =
        new Bowing(
            hertz(midi, cents),
            loud ? 0.25 : 0.1,
            loud ? 0.26 : 0.2,
            loud ? 0.1 : 0.13,
            loud ? 0.05 : 0.11,
            bowS,
            loud ? 0.06 : 0.12,
            loud ? 9 : 6,
            5.2 + 0.6 * random.nextDouble(),
            ring(midi));
    float[][] note = Wendrel.note(bowing, 2, random.split());
    double level = (loud ? FORTE_DBFS : PIANO_DBFS) + uneven();
    take.add(note, level, Truth.note(midi, cents, dynamic, 1, retake));
  }

  /** To whole hundredths of a cent, as the table says it. */
  private double off() {
    return Math.round(100 * OFF_CENTS * (random.nextDouble() * 2 - 1)) / 100.0;
  }

  private double uneven() {
    return UNEVEN_DB * (random.nextDouble() * 2 - 1);
  }

  /** High strings ring shorter: 0.9 s at A3, half of it two octaves up. */
  private static double ring(int midi) {
    return 0.9 * StrictMath.pow(2, -(midi - 57) / 24.0);
  }

  private static double hertz(int midi, double cents) {
    return 440 * StrictMath.pow(2, (midi - 69 + cents / 100) / 12);
  }
}
