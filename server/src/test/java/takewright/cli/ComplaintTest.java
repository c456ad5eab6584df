package takewright.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.google.protobuf.Any;
import com.google.rpc.ErrorInfo;
import io.grpc.Status;
import io.grpc.StatusRuntimeException;
import io.grpc.protobuf.StatusProto;
import java.net.ConnectException;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import picocli.CommandLine;
import picocli.CommandLine.Command;
import picocli.CommandLine.Model.CommandSpec;
import takewright.cli.show.Complaint;
import takewright.diagnosis.ProblemException;
import takewright.diagnosis.Reason;

/** What a command says of a problem: its own words, and what to do. */
class ComplaintTest {
  private static CommandSpec command(String name) {
    for (Class<?> type : Main.COMMANDS) {
      if (type.getAnnotation(Command.class).name().equals(name)) {
        return new CommandLine(type).getCommandSpec();
      }
    }
    throw new AssertionError(name);
  }

  private static StatusRuntimeException answer(Map<String, String> metadata) {
    return answer("INPUT_INVALID", metadata);
  }

  private static StatusRuntimeException answer(String reason, Map<String, String> metadata) {
    ErrorInfo info =
        ErrorInfo.newBuilder()
            .setDomain("takewright")
            .setReason(reason)
            .putAllMetadata(metadata)
            .build();
    return StatusProto.toStatusRuntimeException(
        com.google.rpc.Status.newBuilder()
            .setCode(Status.Code.INVALID_ARGUMENT.value())
            .setMessage("the line for other clients")
            .addDetails(Any.pack(info))
            .build());
  }

  @ParameterizedTest
  @EnumSource
  void everyReasonTellsItsRemedy(Reason reason) {
    ProblemException problem =
        new ProblemException(reason, "config.amount_db", "cannot be used", "choose another");
    assertEquals(
        "--amount-db cannot be used; choose another", Complaint.of(problem, command("denoise")));
  }

  @ParameterizedTest
  @CsvSource({
    "denoise, config.input.file, IN",
    "denoise, config.output.file, OUT",
    "denoise, config.output.bit_depth, --bit-depth",
    "denoise, config.removed.file, --removed",
    "segment, config.lead_in_ms, --lead-in-ms",
    "segment, config.input, FILE",
    "analyse, config.block_ms, --blocks",
    "retune, config.output_sample_rate_hz, --sample-rate",
    "retune, config.temperament_root, --temperament-root",
    "layer, config.impulse_file, --impulse",
    "layer, config.room.absorption, --absorption",
    "layer, config.room.width_m, --room: `width_m`",
    "layer, config.chain_text, --chain",
    "build, sheet_file, SHEET",
    "build, output_folder, --out",
    "check, sheet_file, SHEET",
    "follow, config.sheet_file, SHEET",
    "follow, config.take, --take",
    "render, folder, DIR",
    "render, midi_file, --midi",
    "audit, rename_plan_file, --plan",
    "name, facts.midi, --midi",
    "name, style.middle_c, --middle-c",
  })
  void settingsAreCalledAsTheCommandCallsThem(String command, String field, String name) {
    Map<String, String> metadata =
        Map.of("field", field, "what", "is wrong", "remedy", "correct `" + field + "`");
    assertEquals(
        name + " is wrong; correct " + name, Complaint.of(answer(metadata), command(command)));
  }

  @Test
  void aPlaceInAFileSaysMoreThanTheOption() {
    Map<String, String> metadata =
        Map.of(
            "field",
            "sheet_file",
            "file",
            "sheet.yaml",
            "line",
            "7",
            "key",
            "note",
            "what",
            "is not a key of a take",
            "remedy",
            "did you mean `notes`?");
    assertEquals(
        "sheet.yaml:7: `note` is not a key of a take; did you mean `notes`?",
        Complaint.of(answer(metadata), command("build")));
  }

  /** Other clients send the token as metadata; a command has an option for it. */
  @Test
  void aWrongTokenIsMendedByTheOption() {
    Map<String, String> metadata = Map.of("what", "no token was sent", "remedy", "send it");
    assertEquals(
        "no token was sent; name the service's token file with --token-file, or send it",
        Complaint.of(answer("TOKEN_WRONG", metadata), command("segment")));
  }

  /** No command speaks of the contract's paths. */
  @Test
  void noPathOfTheContractIsLeft() {
    for (String command : List.of("segment", "analyse", "denoise", "retune", "layer")) {
      for (String field : List.of("config.input", "config.input.file")) {
        Map<String, String> metadata = Map.of("field", field, "what", "is wrong", "remedy", "mend");
        String line = Complaint.of(answer(metadata), command(command));
        assertFalse(line.contains("config"), line);
      }
    }
  }

  @Test
  void anotherServersErrorIsToldAsItIs() {
    StatusRuntimeException other =
        Status.INTERNAL.withDescription("some\nother").asRuntimeException();
    assertEquals("some other", Complaint.of(other, command("build")));
    StatusRuntimeException nobody =
        Status.UNAVAILABLE.withCause(new ConnectException("refused")).asRuntimeException();
    assertTrue(Complaint.of(nobody, command("build")).contains("takewright serve"));
    // As a command's own service ends its calls on SIGTERM: nothing failed on the way to it.
    assertEquals(
        "the service has stopped; call again: a build goes on",
        Complaint.of(Status.UNAVAILABLE.asRuntimeException(), command("build")));
  }
}
