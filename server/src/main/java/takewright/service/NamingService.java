package takewright.service;

import io.grpc.stub.StreamObserver;
import java.util.function.Supplier;
import takewright.diagnosis.ProblemException;
import takewright.name.Name;
import takewright.name.NameFacts;
import takewright.name.NamePattern;
import takewright.name.NamingStyle;
import takewright.name.NoteNames;
import takewright.service.call.UnaryCall;
import takewright.service.wire.Failures;
import takewright.service.wire.Wire;
import takewright.v1.Accidentals;
import takewright.v1.FormatNameRequest;
import takewright.v1.FormatNameResponse;
import takewright.v1.NamingServiceGrpc;
import takewright.v1.ParseNameRequest;
import takewright.v1.ParseNameResponse;

/** Names from facts, and facts from names. */
final class NamingService extends NamingServiceGrpc.NamingServiceImplBase {
  @Override
  public void formatName(FormatNameRequest request, StreamObserver<FormatNameResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          NamingStyle style = style(request.getStyle());
          if (!request.getFacts().hasMidi() && style.pattern().needsNote()) {
            throw ProblemException.invalid(
                "facts.midi",
                "is not given, but name pattern \"" + style.pattern() + "\" needs a note",
                "set it");
          }
          String name = named("facts", () -> Name.format(facts(request.getFacts()), style));
          return FormatNameResponse.newBuilder().setName(name).build();
        });
  }

  @Override
  public void parseName(ParseNameRequest request, StreamObserver<ParseNameResponse> answers) {
    UnaryCall.atOnce(
        answers,
        () -> {
          NamingStyle style = style(request.getStyle());
          NameFacts facts = named("name", () -> Name.parse(request.getName(), style));
          return ParseNameResponse.newBuilder().setFacts(wire(facts)).build();
        });
  }

  private static <T> T named(String field, Supplier<T> work) {
    try {
      return work.get();
    } catch (IllegalArgumentException e) {
      throw Failures.setting(e, field);
    }
  }

  private static NamingStyle style(takewright.v1.NamingStyle style) {
    return named(
        "style",
        () ->
            new NamingStyle(
                style.getPattern().isEmpty()
                    ? NamePattern.DEFAULT
                    : NamePattern.of(style.getPattern()),
                new NoteNames(
                    middleC(style.getMiddleC()),
                    flats(style.getAccidentals()),
                    style.getSharpSign().isEmpty()
                        ? NoteNames.DEFAULTS.sharpSign()
                        : style.getSharpSign())));
  }

  private static int middleC(String name) {
    return switch (name) {
      case "" -> NoteNames.DEFAULTS.middleC();
      case "C3" -> 3;
      case "C4" -> 4;
      case "C5" -> 5;
      default ->
          throw ProblemException.invalid("style.middle_c", "is " + name, "give C3, C4 or C5");
    };
  }

  private static boolean flats(Accidentals accidentals) {
    return switch (accidentals) {
      case ACCIDENTALS_UNSPECIFIED -> NoteNames.DEFAULTS.flats();
      case ACCIDENTALS_SHARP -> false;
      case ACCIDENTALS_FLAT -> true;
      case UNRECOGNIZED -> throw Wire.unknown("style.accidentals", Accidentals.values());
    };
  }

  private static NameFacts facts(takewright.v1.NameFacts facts) {
    return new NameFacts(
        facts.hasLibrary() ? facts.getLibrary() : null,
        facts.hasArticulation() ? facts.getArticulation() : null,
        facts.hasLayer() ? facts.getLayer() : null,
        facts.hasMidi() ? facts.getMidi() : null,
        facts.hasDynamic() ? facts.getDynamic() : null,
        facts.hasRr() ? facts.getRr() : null);
  }

  private static takewright.v1.NameFacts wire(NameFacts facts) {
    takewright.v1.NameFacts.Builder wire = takewright.v1.NameFacts.newBuilder();
    if (facts.library() != null) {
      wire.setLibrary(facts.library());
    }
    if (facts.articulation() != null) {
      wire.setArticulation(facts.articulation());
    }
    if (facts.layer() != null) {
      wire.setLayer(facts.layer());
    }
    if (facts.midi() != null) {
      wire.setMidi(facts.midi());
    }
    if (facts.dynamic() != null) {
      wire.setDynamic(facts.dynamic());
    }
    if (facts.rr() != null) {
      wire.setRr(facts.rr());
    }
    return wire.build();
  }
}
