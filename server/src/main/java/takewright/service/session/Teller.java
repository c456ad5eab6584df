package takewright.service.session;

import java.util.HashSet;
import java.util.List;
import java.util.Objects;
import java.util.Set;
import takewright.library.follow.Follow;
import takewright.library.follow.Judgement;
import takewright.service.call.Answers;
import takewright.service.wire.Wire;
import takewright.sheet.SheetException;
import takewright.sheet.SheetProblem;
import takewright.sheet.decision.Verdict;
import takewright.v1.Cell;
import takewright.v1.CellsMissing;
import takewright.v1.FollowSessionResponse;
import takewright.v1.NoteHeard;
import takewright.v1.NoteStatus;
import takewright.v1.NoteVerdict;
import takewright.v1.PlanDoubt;
import takewright.v1.SessionDecision;
import takewright.v1.SessionDecisions;
import takewright.v1.SessionStarted;
import takewright.v1.SessionVerdict;

/** Reports the changes of a session to its client and to its board. */
final class Teller {
  private final Sessions.Session session;
  private final Followed followed;
  private final Follow follow;
  private final Answers<FollowSessionResponse> answers;
  private final Set<String> doubted = new HashSet<>();
  private List<takewright.sheet.cell.Cell> missing;

  Teller(Sessions.Session session, Answers<FollowSessionResponse> answers) {
    this.session = session;
    this.followed = session.followed();
    this.follow = session.follow();
    this.answers = answers;
  }

  void start() {
    answers.send(
        FollowSessionResponse.newBuilder()
            .setStarted(
                SessionStarted.newBuilder()
                    .setSessionId(session.id())
                    .setNextFrame(follow.frames())
                    .setCells(follow.cellCount())
                    .setTake(followed.take().name()))
            .build());
    if (!session.decided().equals(Decided.NOTHING)) {
      sendDecisions();
    }
    tell(follow.notes());
    session.board().show(followed, session.decided());
  }

  void tell(List<Follow.Note> notes) {
    for (Follow.Note note : notes) {
      answers.sendAhead(FollowSessionResponse.newBuilder().setNote(wire(note)).build());
    }
    boolean isMissingChanged = !Objects.equals(missing, follow.missing());
    if (isMissingChanged) {
      missing = follow.missing();
      CellsMissing.Builder cells = CellsMissing.newBuilder();
      missing.forEach(cell -> cells.addCells(wire(cell)));
      takewright.sheet.cell.Cell next = follow.next();
      if (next != null) {
        cells.setNext(wire(next));
      }
      answers.sendAhead(FollowSessionResponse.newBuilder().setMissing(cells).build());
    }
    if (!notes.isEmpty()) {
      doubtPlan();
    }
    if (isMissingChanged || !notes.isEmpty()) {
      session.board().show(followed, session.decided());
    }
  }

  /** Says which plan fits better than the sheet, once for each; the board, while it does. */
  private void doubtPlan() {
    SheetProblem doubt = follow.otherPlan().orElse(null);
    if (doubt == null) {
      session.board().doubt("");
      return;
    }
    session.board().doubt("Line " + doubt.line() + " of the sheet: " + doubt.message());
    if (doubted.add(doubt.problem().remedy())) {
      answers.sendAhead(
          FollowSessionResponse.newBuilder()
              .setDoubt(
                  PlanDoubt.newBuilder()
                      .setText(new SheetException(followed.sheet().file(), doubt).getMessage())
                      .setLine(doubt.line())
                      .setKey(doubt.problem().field()))
              .build());
    }
  }

  /** Does what was touched on the board meanwhile. */
  void decide() {
    boolean any = false;
    for (Board.Touch touch; (touch = session.board().nextTouch()) != null; any = true) {
      if (touch.note() > 0) {
        tell(session.decide(touch.note(), touch.verdict()));
      } else {
        session.skip(touch.cell(), touch.isSkipped());
        tell(List.of());
      }
    }
    if (any) {
      sendDecisions();
      session.board().show(followed, session.decided());
    }
  }

  private void sendDecisions() {
    SessionDecisions.Builder all = SessionDecisions.newBuilder();
    double rate = session.header().sampleRate();
    for (Follow.Note note : follow.notes()) {
      Verdict verdict = session.decided().notes().get(note.number());
      if (verdict != null) {
        all.addDecisions(
            SessionDecision.newBuilder()
                .setVerdict(
                    verdict == Verdict.KEEP
                        ? SessionVerdict.SESSION_VERDICT_KEEP
                        : SessionVerdict.SESSION_VERDICT_DROP)
                .setAtS((note.region().onset() + note.region().end()) / 2 / rate));
      }
    }
    for (int cell : session.decided().skipped().stream().sorted().toList()) {
      all.addDecisions(
          SessionDecision.newBuilder()
              .setVerdict(SessionVerdict.SESSION_VERDICT_SKIP)
              .setCell(wire(follow.cells().get(cell))));
    }
    answers.sendAhead(FollowSessionResponse.newBuilder().setDecisions(all).build());
  }

  private NoteHeard wire(Follow.Note note) {
    NoteHeard.Builder wire =
        NoteHeard.newBuilder()
            .setNumber(note.number())
            .setOnsetFrame(note.region().onset())
            .setEndFrame(note.region().end())
            .setStatus(wire(note.status()))
            .setVerdict(wire(note.judgement()))
            .setSettled(note.isSettled())
            .addAllFlags(Wire.flags(note.flags()))
            .setLevelDbfs(Wire.level(note.region().levelDbfs()))
            .setPeakDbfs(Wire.level(note.region().peakDbfs()))
            .setHeardAtFrame(follow.frames());
    if (note.region().pitch() != null) {
      wire.setPitch(Wire.pitch(note.region().pitch()));
      wire.setNote(followed.spell(note.region().pitch().midi()));
    }
    if (note.cell() != null) {
      wire.setCell(wire(note.cell()));
    }
    return wire.build();
  }

  private static NoteVerdict wire(Judgement judgement) {
    return switch (judgement) {
      case GOOD -> NoteVerdict.NOTE_VERDICT_GOOD;
      case LISTEN -> NoteVerdict.NOTE_VERDICT_LISTEN;
      case AGAIN -> NoteVerdict.NOTE_VERDICT_AGAIN;
      case EXTRA -> NoteVerdict.NOTE_VERDICT_EXTRA;
      case LEFT_OUT -> NoteVerdict.NOTE_VERDICT_LEFT_OUT;
    };
  }

  private static NoteStatus wire(takewright.sheet.cell.CellStatus status) {
    return switch (status) {
      case KEPT -> NoteStatus.NOTE_STATUS_KEPT;
      case RETAKE -> NoteStatus.NOTE_STATUS_RETAKE;
      case EXTRA -> NoteStatus.NOTE_STATUS_EXTRA;
      case REJECTED -> NoteStatus.NOTE_STATUS_REJECTED;
      case MISSING -> NoteStatus.NOTE_STATUS_WITHDRAWN;
    };
  }

  private Cell wire(takewright.sheet.cell.Cell cell) {
    Cell.Builder wire = Cell.newBuilder().setDynamic(cell.dynamic()).setRr(cell.rr());
    if (cell.midi() != null) {
      wire.setMidi(cell.midi()).setNote(followed.spell(cell.midi()));
    }
    return wire.build();
  }
}
