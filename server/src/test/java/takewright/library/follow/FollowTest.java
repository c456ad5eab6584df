package takewright.library.follow;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.dsp.Peak;
import takewright.library.match.Matching;
import takewright.library.match.TakeAlignment;
import takewright.library.take.CutTake;
import takewright.pitch.Kind;
import takewright.segment.LiveSegment;
import takewright.segment.LiveSegment.HeardRegion;
import takewright.segment.Region;
import takewright.segment.Segment;
import takewright.segment.Segmentation;
import takewright.sheet.Sheet;
import takewright.sheet.Take;
import takewright.sheet.cell.Cell;
import takewright.sheet.cell.CellStatus;
import takewright.sheet.read.SheetReader;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** Takes fed in pieces of 10 ms; time is that of the audio, so that no clock matters. */
class FollowTest {
  private static final double ROOM_DBFS = -62;

  /**
   * What was said, and how much audio had come by then.
   *
   * @param frames taken in when it was said
   */
  private record Said(long frames, Follow.Note note) {}

  /** A take of some recorded notes: which are played, in the order of the sheet. */
  private static final class Player {
    private final List<Recordings.Note> all;
    private final List<Recordings.Note> notes = new ArrayList<>();
    private final double seconds;
    final TakeBuilder take;
    final int rate;

    Player(String instrument, int every, double seconds) {
      all = Recordings.of(instrument);
      for (int i = 0; i < all.size(); i += every) {
        notes.add(all.get(i));
      }
      this.seconds = seconds;
      rate = all.get(0).read(0.1).sampleRate();
      take = new TakeBuilder(rate, 11).pause(2);
    }

    int count() {
      return notes.size();
    }

    int midi(int i) {
      return notes.get(i).midi();
    }

    void play(int i, double peakDbfs) {
      take.sound(
          "note", midi(i), TakeBuilder.faded(notes.get(i).read(seconds)), peakDbfs, ROOM_DBFS);
      take.pause();
    }

    Sheet sheet() throws IOException {
      return sheet("[p, f]", 1);
    }

    Sheet sheet(String dynamics, int roundRobins) throws IOException {
      List<String> list = notes.stream().map(n -> Integer.toString(n.midi())).toList();
      return SheetReader.read(
          Path.of("/nowhere/session.yaml"),
          """
          library: Invented
          takes:
            - file: take.wav
              articulation: sustain
              notes: [%s]
              dynamics: %s
              round_robins: %d
          """
              .formatted(String.join(", ", names(list)), dynamics, roundRobins));
    }

    private static List<String> names(List<String> midi) {
      String[] classes = {"C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"};
      return midi.stream()
          .map(Integer::parseInt)
          .map(n -> "\"" + classes[n % 12] + (n / 12 - 1) + "\"")
          .toList();
    }
  }

  private static List<Said> feed(Follow follow, Clip take) {
    List<Said> said = new ArrayList<>();
    int piece = take.sampleRate() / 100;
    float[][] block = new float[1][piece];
    for (int at = 0; at < take.frames(); at += piece) {
      int n = Math.min(piece, take.frames() - at);
      System.arraycopy(take.channel(0), at, block[0], 0, n);
      follow.push(block, n).forEach(note -> said.add(new Said(follow.frames(), note)));
    }
    return said;
  }

  /** What is said first of a sound. */
  private static Said first(List<Said> said, TakeBuilder.Event event) {
    return said.stream()
        .filter(s -> overlaps(s.note().region(), event))
        .findFirst()
        .orElseThrow(() -> new AssertionError("nothing is said of " + event));
  }

  /** While notes are still to come, too; where the plan is right nothing is said. */
  @ParameterizedTest
  @CsvSource({"0", "12", "-2"})
  void saysWhenEverythingSoundsElsewhereThanTheSheetSays(int higher) throws IOException {
    Player player = new Player("violin", 1, 0.8);
    for (int i = 0; i < 6; i++) {
      player.play(i, -19);
      player.play(i, -7);
    }
    Sheet sheet = player.sheet();
    Take take = sheet.takes().get(0);
    List<Integer> notes = take.notes().stream().map(midi -> midi + higher).toList();
    Follow follow = new Follow(sheet, take.played(notes, take.order()), player.rate, 1);
    assertTrue(follow.otherPlan().isEmpty(), "nothing is heard yet");
    feed(follow, player.take.build(ROOM_DBFS));
    String said = follow.otherPlan().map(doubt -> doubt.problem().what()).orElse("nothing");
    String direction = higher > 0 ? "below" : "above";
    assertTrue(
        higher == 0
            ? said.equals("nothing")
            : said.contains("sounds " + Math.abs(higher) + " semitones " + direction),
        said);
  }

  /** A second ear cannot tell whether there is a short pause. */
  @Test
  void thatANoteRingsIntoTheNextIsSaidOnceItIsSure() throws IOException {
    Player player = new Player("violin", 1, 1.5);
    for (int i = 0; i < 6; i++) {
      player.play(i, -12);
      player.take.back(i == 2 || i == 4 ? 2.0 : 0);
    }
    Clip take = player.take.pause(25).build(ROOM_DBFS);
    Sheet sheet = player.sheet();
    List<Said> said = feed(new Follow(sheet, sheet.takes().get(0), player.rate, 1), take);
    Set<Flag> ofPauses = Set.of(Flag.RINGS_ON, Flag.IN_TAIL);
    for (boolean isSettled : new boolean[] {false, true}) {
      long rung =
          said.stream()
              .map(Said::note)
              .filter(note -> note.isSettled() == isSettled)
              .filter(note -> note.flags().stream().anyMatch(ofPauses::contains))
              .count();
      assertEquals(isSettled, rung > 0, rung + " notes ring on");
    }
  }

  private static boolean overlaps(Region region, TakeBuilder.Event event) {
    return region.end() > event.start() && region.start() < event.end();
  }

  /**
   * Each note is told with its right name and cell within 300 ms of its end, which is where it was
   * last audible; talk and knocks are told as such.
   */
  @ParameterizedTest
  @CsvSource({"violin, 3", "contrabass, 3", "saxophone, 2.5", "violin, 0.4"})
  void saysWhatWasPlayedWithin300MsOfItsEnd(String instrument, double seconds) throws IOException {
    Player player = new Player(instrument, 4, seconds);
    for (int i = 0; i < player.count(); i++) {
      player.play(i, -19);
      player.take.sound("talk", -1, player.take.talk(), -20, ROOM_DBFS).pause();
      player.play(i, -7);
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));

    List<String> wrong = new ArrayList<>();
    List<Double> late = new ArrayList<>();
    int played = 0;
    for (TakeBuilder.Event event : player.take.events()) {
      Said first =
          said.stream()
              .filter(s -> overlaps(s.note().region(), event) && !s.note().isSettled())
              // Told before, it was not yet known how long it lasts.
              .filter(s -> s.note().region().end() >= event.audible() - 0.03 * player.rate)
              .findFirst()
              .orElse(null);
      if (!event.what().equals("note")) {
        continue;
      }
      String dynamic = played++ % 2 == 0 ? "p" : "f";
      if (first == null) {
        wrong.add("nothing said of " + event);
        continue;
      }
      late.add(1000.0 * (first.frames() - event.audible()) / player.rate);
      Follow.Note note = first.note();
      if (note.status() != CellStatus.KEPT
          || note.cell().midi() != event.midi()
          || !note.cell().dynamic().equals(dynamic)) {
        wrong.add(event + " " + dynamic + " was said to be " + note);
      }
    }
    double[] ms = late.stream().mapToDouble(Double::doubleValue).sorted().toArray();
    assertEquals(List.of(), wrong);
    assertTrue(ms[ms.length - 1] <= 300, "late by ms: " + Arrays.toString(ms));
  }

  /** A burst of noise for 0.2 s, as a bow that slips: so loud, RMS, where it is loudest. */
  private static float[] scratched(float[] note, int rate, double fromS, double rms) {
    float[] x = note.clone();
    java.util.Random random = new java.util.Random(3);
    int n = rate / 5;
    for (int i = 0; i < n; i++) {
      double window = Math.sin(Math.PI * i / n);
      x[(int) (fromS * rate) + i] += (float) (rms * window * window * random.nextGaussian());
    }
    return x;
  }

  /**
   * In notes too short to show by themselves what is laid over them, a scratch is told by what the
   * notes before had beside them: at once, and again with the next, though it comes twice.
   */
  @Test
  void aScratchInAShortNoteIsToldByTheNotesBefore() throws IOException {
    Player player = new Player("saxophone", 1, 0.3);
    Set<Integer> scratched = Set.of(4, 10, 13);
    Set<Integer> flawed = new java.util.HashSet<>();
    for (int i = 0; i < 15; i++) {
      if (scratched.contains(i)) {
        flawed.add(player.take.events().size());
        float[] note = TakeBuilder.faded(player.notes.get(i).read(0.3));
        float[] played = scratched(note, player.rate, 0.03, 0.18 * Peak.of(note, 0, note.length));
        player.take.sound("note", player.midi(i), played, -10, ROOM_DBFS).pause();
      } else {
        player.play(i, -10);
      }
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    List<TakeBuilder.Event> events = player.take.events();
    for (int i = 0; i < events.size(); i++) {
      TakeBuilder.Event event = events.get(i);
      Said first = first(said, event);
      assertEquals(flawed.contains(i), first.note().judgement() == Judgement.AGAIN, "" + first);
      assertTrue(first.frames() <= event.audible() + 1.5 * player.rate, "late: " + first);
    }
  }

  /** Their windows do not agree on a pitch: the plan tells which they are. */
  @Test
  void lowNotesThatAreOverSoonAreNamedAtOnce() throws IOException {
    Player player = new Player("contrabass", 1, 0.25);
    for (int i = 0; i < 10; i++) {
      player.play(i, -20);
      player.play(i, -10);
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    int good = 0;
    int unsure = 0;
    for (TakeBuilder.Event event : player.take.events()) {
      Follow.Note note = first(said, event).note();
      if (note.region().confidence() < 0.6) {
        double lateS = (double) (first(said, event).frames() - event.audible()) / player.rate;
        assertTrue(lateS > 0.5, "told by the first ear: " + note);
        unsure++;
      }
      boolean isNamed = note.region().pitch() != null;
      good += isNamed && note.region().pitch().midi() == event.midi() ? 1 : 0;
    }
    assertTrue(good >= 19, good + " of 20");
    assertTrue(unsure > 0, "some are unsure");
  }

  /** A knock of a few milliseconds in a short note, and one just behind it, with no note before. */
  @ParameterizedTest
  @CsvSource({"0.14", "0.36"})
  void aKnockInAShortNoteIsTold(double atS) throws IOException {
    Player player = new Player("saxophone", 2, 0.3);
    for (int i = 0; i < 8; i++) {
      float[] note = TakeBuilder.faded(player.notes.get(i).read(0.3));
      float peak = Peak.of(note, 0, note.length);
      float[] played = Arrays.copyOf(note, player.rate / 2);
      for (int k = 0; k < player.rate / 100 && i % 4 == 0; k++) {
        double loud = 0.3 * peak * Math.exp(-k / (0.002 * player.rate));
        double click = Math.sin(2 * Math.PI * 2070 * k / player.rate);
        played[(int) (atS * player.rate) + k] += (float) (loud * click);
      }
      player.take.sound("note", player.midi(i), played, -10, ROOM_DBFS).pause();
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    List<TakeBuilder.Event> events = player.take.events();
    for (int i = 0; i < events.size(); i++) {
      TakeBuilder.Event event = events.get(i);
      Said first = first(said, event);
      assertEquals(i % 4 == 0, first.note().judgement() == Judgement.AGAIN, "" + first);
    }
  }

  /**
   * A scratch and a note broken off are told at once, before they are played again, and what is
   * said changes at most once and within 20 s, though all is matched again with each note.
   */
  @Test
  void flawsAreToldAtOnceAndWhatIsSaidHolds() throws IOException {
    Player player = new Player("saxophone", 3, 3);
    Set<Integer> flawed = new java.util.HashSet<>();
    for (int i = 0; i < player.count(); i++) {
      player.play(i, -19);
      if (i == 3 || i == 4) {
        flawed.add(player.take.events().size());
        float[] note = TakeBuilder.faded(player.notes.get(i).read(i == 3 ? 3 : 0.8));
        float[] played = i == 3 ? scratched(note, player.rate, 0.4, 0.25) : note;
        player.take.sound("note", player.midi(i), played, -7, ROOM_DBFS).pause();
      }
      player.play(i, -7);
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    follow.finish().forEach(note -> said.add(new Said(follow.frames(), note)));

    List<TakeBuilder.Event> events = player.take.events();
    for (int i = 0; i < events.size(); i++) {
      TakeBuilder.Event event = events.get(i);
      Judgement first =
          said.stream()
              .filter(s -> overlaps(s.note().region(), event))
              .findFirst()
              .orElseThrow()
              .note()
              .judgement();
      assertEquals(flawed.contains(i), first != Judgement.GOOD, event + ": " + first);
    }
    Map<Integer, Said> firsts = new LinkedHashMap<>();
    Map<Integer, Judgement> judgements = new LinkedHashMap<>();
    Map<Integer, Integer> changes = new LinkedHashMap<>();
    for (Said one : said) {
      int number = one.note().number();
      Said first = firsts.putIfAbsent(number, one);
      Judgement before = judgements.put(number, one.note().judgement());
      if (first != null && before != one.note().judgement()) {
        assertEquals(1, changes.merge(number, 1, Integer::sum), one.toString());
        assertTrue(one.frames() - first.frames() <= 20L * player.rate, one.toString());
      }
    }
  }

  /** Of two flawed attempts the less flawed one is used, but the note is still to be played. */
  @Test
  void aFlawedAttemptIsNoSurplusWhileTheOneThatIsUsedIsFlawedAsWell() throws IOException {
    Player player = new Player("saxophone", 3, 3);
    for (int i = 0; i < 4; i++) {
      player.play(i, -19);
      player.play(i, -7);
    }
    player.play(4, -19);
    TakeBuilder take = player.take;
    float[] broken = TakeBuilder.faded(player.notes.get(4).read(0.8));
    take.sound("note", player.midi(4), broken, -7, ROOM_DBFS).pause();
    float[] played = scratched(broken, player.rate, 0.3, 0.25);
    take.sound("note", player.midi(4), played, -7, ROOM_DBFS).pause();
    player.play(5, -19);
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, take.build(ROOM_DBFS));
    Follow.Note last = first(said, take.events().get(take.events().size() - 2)).note();
    assertEquals(CellStatus.RETAKE, last.status(), last.toString());
    assertEquals(Judgement.AGAIN, last.judgement(), last.toString());
  }

  /** The second round robin is scratched, while the first is good: it is to be played again. */
  @Test
  void aFlawedAttemptIsNoSurplusWhileARoundRobinIsMissing() throws IOException {
    Player player = new Player("saxophone", 3, 2);
    for (int i = 0; i < 5; i++) {
      player.play(i, -19);
      player.play(i, -18.5);
      player.play(i, -7);
      if (i < 4) {
        player.play(i, -7.5);
      }
    }
    float[] note = TakeBuilder.faded(player.notes.get(4).read(2));
    float[] played = scratched(note, player.rate, 0.6, 0.4);
    TakeBuilder take = player.take;
    take.sound("note", player.midi(4), played, -9, ROOM_DBFS).pause(3);
    Sheet sheet = player.sheet("[p, f]", 2);
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, take.build(ROOM_DBFS));
    Follow.Note last = first(said, take.events().get(take.events().size() - 1)).note();
    assertEquals(CellStatus.RETAKE, last.status(), last.toString());
    assertEquals(Judgement.AGAIN, last.judgement(), last.toString());
  }

  /** The first ear takes a short note to be longer than it is: the second tells how long it was. */
  @Test
  void aShortNoteThatIsBrokenOffIsToldBesideTheSameNote() throws IOException {
    Player player = new Player("saxophone", 3, 0.4);
    for (int i = 0; i < 4; i++) {
      player.play(i, -7);
      player.play(i, -7.5);
    }
    player.play(4, -7);
    float[] note = TakeBuilder.faded(player.notes.get(4).read(0.12));
    player.take.sound("note", player.midi(4), note, -7, ROOM_DBFS).pause(3);
    Sheet sheet = player.sheet("[mf]", 2);
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    List<TakeBuilder.Event> events = player.take.events();
    for (TakeBuilder.Event event : events) {
      Follow.Note told = first(said, event).note();
      boolean isLast = event == events.get(events.size() - 1);
      assertEquals(isLast ? Judgement.LISTEN : Judgement.GOOD, told.judgement(), "" + told);
    }
  }

  /**
   * The same note again after a pause that is too short to end a region: the first ear takes it for
   * more of the first, the second tells it within 1.5 s of its end.
   */
  @Test
  void aNoteSoonAfterAnotherIsToldBeforeTheTakeIsHeardAnew() throws IOException {
    Player player = new Player("saxophone", 8, 1.5);
    float[] note = TakeBuilder.faded(player.notes.get(0).read(1.5));
    player.take.sound("note", player.midi(0), note, -10, ROOM_DBFS).pause(0.15);
    player.take.sound("note", player.midi(0), note, -8, ROOM_DBFS).pause(4);
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    TakeBuilder.Event second = player.take.events().get(1);
    Said told =
        said.stream()
            .filter(s -> Math.abs(s.note().region().onset() - second.onset()) < player.rate / 10)
            .findFirst()
            .orElseThrow(() -> new AssertionError(player.take.events() + " " + said));
    assertTrue(told.frames() <= second.audible() + 1.5 * player.rate, told + " of " + second);
    assertEquals(2, follow.notes().size(), () -> follow.notes().toString());
  }

  /**
   * The first ear may take two notes that follow each other closely for one disturbed note. The
   * player reads of no fault.
   */
  @Test
  void whatFollowsANoteIsNoFaultOfIt() throws IOException {
    Player player = new Player("saxophone", 4, 1.5);
    for (int i = 0; i < player.count(); i++) {
      float[] note = TakeBuilder.faded(player.notes.get(i).read(0.8));
      player.take.sound("note", player.midi(i), note, -7, ROOM_DBFS).pause(i % 2 == 0 ? 0.08 : 3);
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    List<Follow.Note> doubted =
        said.stream().map(Said::note).filter(n -> n.judgement() != Judgement.GOOD).toList();
    assertEquals(List.of(), doubted);
    assertEquals(player.count(), follow.notes().size(), () -> follow.notes().toString());
  }

  /**
   * A scratch in a short note makes the first ear doubt it. What rustles behind makes the note seem
   * long to that ear, and long notes are not doubted for it: it does not call it good then.
   */
  @Test
  void aDoubtOfTheFirstEarIsNotForgottenAsMoreIsHeard() throws IOException {
    Player player = new Player("saxophone", 1, 0.3);
    for (int i = 0; i < 8; i++) {
      player.play(i, -10);
    }
    float[] note = TakeBuilder.faded(player.notes.get(8).read(0.3));
    float peak = Peak.of(note, 0, note.length);
    float[] played = Arrays.copyOf(scratched(note, player.rate, 0.03, 0.3 * peak), 2 * player.rate);
    SplittableRandom random = new SplittableRandom(3);
    for (int at = note.length + player.rate / 5; at < 1.2 * player.rate; at += player.rate / 5) {
      for (int i = 0; i < player.rate / 20; i++) {
        played[at + i] += (float) (0.02 * peak * (2 * random.nextDouble() - 1));
      }
    }
    player.take.sound("note", player.midi(8), played, -10, ROOM_DBFS).pause();
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    TakeBuilder.Event event = player.take.events().get(8);
    assertEquals(Judgement.AGAIN, first(said, event).note().judgement());
  }

  /**
   * What sounds like a knock may be the beginning of a note: the player reads of it a second later,
   * once that is known, and of notes at once.
   */
  @Test
  void nothingIsSaidOfAKnockBeforeTheSecondEarHasHeardIt() throws IOException {
    Player player = new Player("saxophone", 8, 2);
    player.play(0, -19);
    player.take.sound("knock", -1, player.take.knock(), -24, ROOM_DBFS).pause(3);
    player.play(0, -7);
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    List<Said> said = feed(follow, player.take.build(ROOM_DBFS));
    for (TakeBuilder.Event event : player.take.events()) {
      Said first = first(said, event);
      double lateS = (double) (first.frames() - event.audible()) / player.rate;
      boolean isKnock = event.what().equals("knock");
      assertEquals(isKnock, first.note().status() == CellStatus.REJECTED, first.toString());
      assertTrue(isKnock ? lateS > 0.5 && lateS < 2 : lateS < 0.3, lateS + " s: " + first);
    }
  }

  /** One note left out, one played again at the end, one twice over: all of it is in the table. */
  @ParameterizedTest
  @CsvSource({"violin, 2", "contrabass, 2", "saxophone, 0.5"})
  void theTableIsRightAtTheEnd(String instrument, double seconds) throws IOException {
    Player player = new Player(instrument, 3, seconds);
    for (int i = 0; i < player.count(); i++) {
      player.play(i, -19);
      if (i == 1) {
        player.play(i, -19.5);
      }
      if (i != 2) {
        player.play(i, -7);
      }
      if (i == 3) {
        player.take.sound("knock", -1, player.take.knock(), -24, ROOM_DBFS).pause();
      }
    }
    Sheet sheet = player.sheet();
    Take asked = sheet.takes().get(0);
    Follow follow = new Follow(sheet, asked, player.rate, 1);
    Clip take = player.take.build(ROOM_DBFS);
    Map<Integer, Follow.Note> told = new LinkedHashMap<>();
    feed(follow, take).forEach(s -> told.put(s.note().number(), s.note()));

    // Before the last 20 s are settled nothing else may be missing either.
    Cell left = new Cell(0, "sustain", player.midi(2), "f", 1);
    assertEquals(List.of(left), follow.missing());

    follow.finish().forEach(note -> told.put(note.number(), note));
    assertEquals(List.of(left), follow.missing());
    assertTrue(follow.notes().stream().allMatch(Follow.Note::isSettled));
    assertEquals(1, follow.notes().stream().filter(n -> n.status() == CellStatus.RETAKE).count());

    // Who only listens to the changes knows the same.
    told.values().removeIf(note -> note.status() == CellStatus.MISSING);
    assertEquals(
        Map.copyOf(told),
        Map.copyOf(
            follow.notes().stream()
                .collect(java.util.stream.Collectors.toMap(Follow.Note::number, n -> n))));

    // And it is what a build says of the same take.
    Segmentation whole = Segment.apply(take.source(), CutTake.settings(sheet, asked));
    Matching matching = TakeAlignment.match(whole.regions(), sheet.cells(asked), player.rate);
    assertEquals(whole.regions(), follow.notes().stream().map(Follow.Note::region).toList());
    assertEquals(matching.statuses(), follow.notes().stream().map(Follow.Note::status).toList());
  }

  /** While the take goes on: once it is over, all of its sounds are told. */
  @Test
  void whatTheLastEarAloneHearsIsToldOnlyIfItFillsACell() throws IOException {
    Player player = new Player("violin", 6, 1);
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    for (int second = 0; second < 21; second++) {
      follow.push(new float[1][player.rate], player.rate);
    }
    assertTrue(follow.isTooLate(sound(player.rate - 1), CellStatus.REJECTED));
    assertTrue(follow.isTooLate(sound(player.rate - 1), CellStatus.EXTRA));
    assertFalse(follow.isTooLate(sound(player.rate - 1), CellStatus.KEPT));
    assertFalse(follow.isTooLate(sound(player.rate), CellStatus.REJECTED), "20 s after its end");
    follow.finish();
    assertFalse(follow.isTooLate(sound(player.rate - 1), CellStatus.REJECTED));
  }

  private static HeardRegion sound(int end) {
    Region region =
        new Region(0, 0, end, Kind.PITCHED, null, 1, true, Set.of(Flag.KNOCK), -10, -18);
    return new HeardRegion(1, region, LiveSegment.Ear.SURE, new LiveSegment.Brief(0, 0, 0));
  }

  /** What is clipped, hardly above the room, or no note at all, is said to be so. */
  @Test
  void saysWhatIsWrongWithANote() throws IOException {
    Player player = new Player("saxophone", 8, 2);
    player.play(0, -20);
    player.play(0, -7);
    player.play(1, -45);
    player.play(1, 6);
    player.take.sound("knock", -1, player.take.knock(), -24, ROOM_DBFS).pause();
    Clip built = player.take.build(ROOM_DBFS);
    float[] samples = built.channel(0).clone();
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.max(-1, Math.min(1, samples[i]));
    }
    Sheet sheet = player.sheet();
    Follow follow = new Follow(sheet, sheet.takes().get(0), player.rate, 1);
    feed(follow, Clip.of(player.rate, samples));

    List<Follow.Note> notes = follow.notes();
    assertEquals(5, notes.size(), notes::toString);
    assertEquals(Set.of(), notes.get(1).flags());
    assertTrue(notes.get(2).flags().contains(Flag.NOISY), notes::toString);
    assertTrue(notes.get(3).flags().contains(Flag.CLIPPED), notes::toString);
    assertEquals(CellStatus.REJECTED, notes.get(3).status());
    assertEquals(CellStatus.REJECTED, notes.get(4).status());
    assertFalse(follow.missing().isEmpty());
  }

  @Test
  void refusesATakeThatIsTooLargeToFollow() throws IOException {
    Sheet sheet =
        SheetReader.read(
            Path.of("/nowhere/session.yaml"),
            """
            library: Invented
            takes:
              - {file: take.wav, articulation: hit, kind: unpitched, round_robins: 999, dynamics: [p, f]}
            """);
    IllegalArgumentException refused =
        assertThrows(
            IllegalArgumentException.class,
            () -> new Follow(sheet, sheet.takes().get(0), 48_000, 1));
    assertTrue(refused.getMessage().contains("1998 cells"), refused.getMessage());
  }
}
