package takewright.cli.show;

import com.google.protobuf.Any;
import com.google.protobuf.InvalidProtocolBufferException;
import com.google.rpc.ErrorInfo;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import java.io.IOException;
import java.lang.reflect.AnnotatedElement;
import java.util.HashMap;
import java.util.Map;
import picocli.CommandLine.Model.ArgSpec;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Model.OptionSpec;
import takewright.diagnosis.Diagnosed;
import takewright.diagnosis.FileProblems;
import takewright.diagnosis.Place;
import takewright.diagnosis.Problem;
import takewright.diagnosis.Reason;

/** What went wrong, in one line and in the words of the command: its options, not the contract. */
public final class Complaint {
  private final CommandSpec command;
  private final Map<String, String> names = new HashMap<>();

  private Complaint(CommandSpec command) {
    this.command = command;
    for (ArgSpec argument : command.args()) {
      Sets sets =
          argument.userObject() instanceof AnnotatedElement element
              ? element.getAnnotation(Sets.class)
              : null;
      for (String field : sets == null ? new String[0] : sets.value()) {
        names.put(field, nameOf(argument));
      }
    }
  }

  /** The line for a failure of a command. */
  public static String of(Throwable failure, CommandSpec command) {
    Problem problem = problem(failure);
    if (problem != null) {
      return problem.text(new Complaint(command)::name);
    }
    if (failure instanceof StatusRuntimeException answer) {
      String line = answer.getStatus().getDescription();
      return Problem.oneLine(line == null ? answer.getStatus().getCode().toString() : line);
    }
    if (failure instanceof IOException || failure instanceof IllegalArgumentException) {
      return Problem.oneLine(failure.getMessage());
    }
    return "something went wrong that should not: " + Problem.oneLine(failure.toString());
  }

  private static Problem problem(Throwable failure) {
    if (failure instanceof Diagnosed known) {
      return known.problem();
    }
    if (failure instanceof IOException io) {
      return FileProblems.of(io);
    }
    if (!(failure instanceof StatusRuntimeException answer)) {
      return null;
    }
    ErrorInfo info = info(answer);
    if (info != null) {
      return problem(info);
    }
    Problem ofTls = TlsProblems.of(answer);
    if (ofTls != null || answer.getStatus().getCode() != Status.Code.UNAVAILABLE) {
      return ofTls;
    }
    return isEndedByService(answer)
        ? new Problem(Reason.STOPPING, "", "the service has stopped", "call again: a build goes on")
        : new Problem(
            Reason.STOPPING,
            "",
            "no service answers there",
            "start it with `takewright serve`, or correct --server");
  }

  /** Whether a service ended the call itself: nothing failed on the way to it. */
  private static boolean isEndedByService(StatusRuntimeException answer) {
    for (Throwable cause = answer.getCause(); cause != null; cause = cause.getCause()) {
      if (cause instanceof IOException) {
        return false;
      }
    }
    return true;
  }

  /** The details that the service sends with each problem; null if it is not our service. */
  private static ErrorInfo info(StatusRuntimeException answer) {
    com.google.rpc.Status status = StatusProto.fromThrowable(answer);
    if (status == null) {
      return null;
    }
    try {
      for (Any detail : status.getDetailsList()) {
        if (detail.is(ErrorInfo.class)) {
          ErrorInfo info = detail.unpack(ErrorInfo.class);
          return info.containsMetadata("what") && info.containsMetadata("remedy") ? info : null;
        }
      }
    } catch (InvalidProtocolBufferException e) {
      return null;
    }
    return null;
  }

  private static Problem problem(ErrorInfo info) {
    Map<String, String> facts = info.getMetadataMap();
    Place place =
        facts.containsKey("file") || facts.containsKey("key")
            ? new Place(
                facts.getOrDefault("file", ""),
                Integer.parseInt(facts.getOrDefault("line", "0")),
                facts.getOrDefault("key", ""))
            : null;
    Reason reason = reason(info.getReason());
    String remedy =
        reason == Reason.TOKEN_WRONG
            ? "name the service's token file with --token-file, or " + facts.get("remedy")
            : facts.get("remedy");
    return new Problem(reason, facts.getOrDefault("field", ""), place, facts.get("what"), remedy);
  }

  /** A newer service may know more of them. */
  private static Reason reason(String name) {
    for (Reason reason : Reason.values()) {
      if (reason.name().equals(name)) {
        return reason;
      }
    }
    return Reason.INTERNAL;
  }

  /** What the command calls a field of its request. */
  private String name(String field) {
    for (String path = field; !path.isEmpty(); path = parent(path)) {
      String name = names.get(path);
      if (name != null) {
        String part = field.substring(path.length());
        return name.startsWith("--") && !part.isEmpty()
            ? name + ": `" + part.substring(1) + "`"
            : name;
      }
    }
    OptionSpec option =
        command.findOption("--" + field.substring(field.lastIndexOf('.') + 1).replace('_', '-'));
    return option == null ? field : option.longestName();
  }

  private static String parent(String path) {
    int end = Math.max(path.lastIndexOf('.'), path.lastIndexOf('['));
    return end < 0 ? "" : path.substring(0, end);
  }

  private static String nameOf(ArgSpec argument) {
    return argument instanceof OptionSpec option ? option.longestName() : argument.paramLabel();
  }
}
